"""Messages into a person's language, units and rounding, for terminal, page and paper alike."""

from haywright.words.say import Reader, say

__all__ = ["Reader", "say"]
