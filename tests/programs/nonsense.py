# Each line is a mistake that type checkers must find, but for the last.
from evenstroke import Desktop, Display, MapRequest, Step, Tablet, load, solve
from evenstroke import Nonsense  # attr-defined
from mapper import Nonsense as Other  # attr-defined
from profiles import Nonsense as Third  # attr-defined

tablet = Tablet(240, 152, turn_deg=45)  # arg-type
desktop = Desktop((Display(2560, 1440),))
MapRequest(tablet, desktop, fit="lock")  # arg-type
MapRequest(tablet, desktop, hold="middle")  # arg-type
MapRequest(tablet, desktop, onto="main")  # arg-type
Step(1, "m")  # arg-type
solve(tablet)  # arg-type
load(1)  # arg-type
MapRequest(tablet, desktop, fit="full", hold="top-left", step=Step(1, "mm"))
