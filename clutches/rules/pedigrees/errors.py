"""When a pedigree file is refused whole, or has to be asked about first."""

from core.errors import DomainError


class PedigreeFileError(DomainError):
    """A file holds no pedigree that can be read."""

    code = "pedigree_file_refused"


class PedigreeUndecidedError(DomainError):
    """A person has to say something about the file before it can be read."""

    code = "pedigree_file_undecided"
