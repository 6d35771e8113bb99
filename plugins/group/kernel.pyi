# Each takes and gives what its namesake in Python does.
from plugins.group.choice import choose as choose
from plugins.group.gaps import fill_gaps as fill_gaps
from plugins.group.knapsack import knapsack as knapsack
from plugins.group.misfits import misfits as misfits
from plugins.group.pieces import cut_apart as cut_apart
from plugins.group.rooms import fill_rooms as fill_rooms
from plugins.group.rooms import lay_anew as lay_anew
from plugins.group.swaps import change_places as change_places
from plugins.group.wishes import list_wishes as list_wishes
from plugins.group.wishes import worth_of as worth_of
