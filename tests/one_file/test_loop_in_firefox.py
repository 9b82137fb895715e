"""The whole loop of the served page in Firefox: it takes a minute, so it is driven here."""

import pytest

from tests.render.test_whole_loop import looped


@pytest.mark.browsers
@pytest.mark.usefixtures("built")
def test_from_nothing_to_how_it_felt_by_every_hand_in_firefox(served):
    looped(served, "firefox")
