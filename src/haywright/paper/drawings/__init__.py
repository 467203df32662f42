"""Our own drawings: the stack, the core through a bale, the bar of usual hay, the code on a bag.

Each returns a Picture with its title, description and table twin. Words come in ready.
"""

from haywright.paper.drawings.core import CoreWords, core_into_square, core_through_round
from haywright.paper.drawings.faces import BaleMark, Face, MapWords, State, stack_map
from haywright.paper.drawings.label import code_square
from haywright.paper.drawings.usual import UsualWords, usual_bar

__all__ = [
    "BaleMark",
    "CoreWords",
    "Face",
    "MapWords",
    "State",
    "UsualWords",
    "code_square",
    "core_into_square",
    "core_through_round",
    "stack_map",
    "usual_bar",
]
