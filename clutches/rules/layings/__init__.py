"""When females are expected to lay, what layings cost them, and what cannot be."""

from clutches.rules.layings.assessing import assess_females

__all__ = ["assess_females"]
