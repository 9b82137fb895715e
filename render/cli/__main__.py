"""``python -m render.cli``: the same as the installed command ``evenstroke``."""

from render.cli import main

main()
