"""Who may see the pages and who may change what, on this computer and on the house's network."""

from sugarwright.web.guard.doors import may_log
from sugarwright.web.guard.guard import HouseNetwork, ThisComputer
from sugarwright.web.guard.network import Network, Ports
from sugarwright.web.guard.protocol import Guard
from sugarwright.web.guard.visitor import Visitor, visitor_of

__all__ = [
    "Guard",
    "HouseNetwork",
    "Network",
    "Ports",
    "ThisComputer",
    "Visitor",
    "may_log",
    "visitor_of",
]
