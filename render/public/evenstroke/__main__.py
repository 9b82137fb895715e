"""``python -m evenstroke``: the same as the installed command."""

from evenstroke import main

main()
