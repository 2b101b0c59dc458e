"""What is seen and touched: the command line, the scene and the window."""
