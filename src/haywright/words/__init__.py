"""Messages into a person's language, units and rounding, for terminal, page and paper alike."""

from haywright.words.say import Reader, reads, say

__all__ = ["Reader", "reads", "say"]
