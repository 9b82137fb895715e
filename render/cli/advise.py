"""``evenstroke advise``: what is good about a workstation, and what to change first."""

from __future__ import annotations

import click

from mapper.choosing.advice import advise
from mapper.choosing.recommended import Band
from render.cli.options import as_option, desk_argument, echo_answer, examples
from render.cli.own_band import band_and_purpose, band_option, own_hand, use_option
from render.cli.types import DESK, Command, NamedDesk, usual_desk
from render.reports.advice_text import advice_data, advice_text


@click.command(
    "advise",
    cls=Command,
    then="change one thing and ask again, for example evenstroke map {desk} --turn 180 --keep",
    epilog=examples(
        "evenstroke advise desk.yaml",
        "evenstroke advise after.yaml before.yaml",
        'evenstroke advise "window desk" "window desk@2" --use handwriting',
        "evenstroke advise desk.yaml --band 2.2-3 --as json",
    ),
)
@desk_argument(required=False)
@click.argument("earlier", metavar="[BEFORE]", required=False, type=DESK)
@use_option(help_text="Kind of work; sets the usual band, a rule of thumb.")
@band_option
@as_option("text", "yaml", "json")
def command(
    *,
    desk: NamedDesk | None,
    earlier: NamedDesk | None,
    use: str,
    typed_band: Band | None,
    form: str,
) -> None:
    """Show what is good about a desk, what to change first, and what each change costs.

    Every statement has its number and its source. With a second desk both are compared, before and
    now. Recommendations are only advice.
    """
    band, purpose = band_and_purpose(typed_band, use)
    workstation = (desk or usual_desk()).find().workstation
    hand = own_hand()
    advice = advise(workstation.map, workstation.seat, band, purpose, hand)
    before = None
    if earlier is not None:
        then = earlier.find().workstation
        before = advise(then.map, then.seat, band, purpose, hand)
    echo_answer(form, workstation, advice, before, text=advice_text, data=advice_data)
