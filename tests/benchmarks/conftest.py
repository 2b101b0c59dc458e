"""No display is needed to measure."""

import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")  # before anything of Qt is loaded
