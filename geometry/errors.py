"""The errors a caller can tell apart. Each message is one sentence for the maker: what, where, what was expected."""


class CornerwiseError(Exception):
    """Base of every error this project raises on purpose."""


class ProjectFileError(CornerwiseError):
    """A project file cannot be read or does not say what a project must say."""


class UnknownVariant(CornerwiseError):
    """The project has no variant of that name."""


class OutputError(CornerwiseError):
    """A file cannot be written; whatever stood there before still stands there."""


class NoSolidError(CornerwiseError):
    """The design leaves no wood to show or to export."""


class LengthError(CornerwiseError):
    """A typed length cannot be read."""
