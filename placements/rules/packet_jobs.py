"""Drawing many packets: when a job is taken again, when it is given up."""

from datetime import datetime, timedelta

# House conventions (ADR 0015): a packet is drawn within seconds, so one that is not
# done after ten minutes died with its worker.
DEAD_AFTER = timedelta(minutes=10)
MOST_TRIES = 3
MOST_AT_ONCE = 500


def dead_since(at: datetime) -> datetime:
    """Return the instant before which a job that is still being drawn was begun in vain.

    Source:
        ADR 0015.
    """
    return at - DEAD_AFTER


def is_given_up(tries: int) -> bool:
    """Say whether a job has been begun as often as it may be.

    Args:
        tries: how often it was begun, the one just ended included.

    Source:
        ADR 0015.
    """
    return tries >= MOST_TRIES


def file_name(*, batch: str, job_id: int, tries: int) -> str:
    """Return where one try of a job keeps its file, below the media folder.

    Each try has a file of its own, so that a worker that was taken for dead and is
    not never writes into another's file. Nothing of the animal or its home is in it.
    """
    return f"{batch}/{job_id}-{tries}.pdf"
