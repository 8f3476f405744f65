"""Plan, library and weather brought together: dated additions, flows and spans, as arrays with names."""

from somsim.timeline.build import Setting, Timeline, setting, timeline
from somsim.timeline.figures import Figures, figures
from somsim.timeline.ground import Group
from somsim.timeline.world import Arrival, Flow, Lane, Load, World

__all__ = [
    "Arrival",
    "Figures",
    "Flow",
    "Group",
    "Lane",
    "Load",
    "Setting",
    "Timeline",
    "World",
    "figures",
    "setting",
    "timeline",
]
