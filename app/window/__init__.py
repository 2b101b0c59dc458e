"""The window: panels put side by side and wired to the document. Nothing here computes."""
