"""Each refused job is told exactly as it was when somebody last read the message."""

from pathlib import Path

import pytest

from pipeline.problems import has_errors
from tests.refused.gallery import SHOP, cases, expected, printed


@pytest.mark.parametrize("case", cases(), ids=lambda case: case.name)
def test_a_refused_job_is_told_word_for_word(case: Path) -> None:
    """Messages are the interface for the people who write the job files; none changes unseen."""
    assert printed(case) == expected(case)
    assert expected(case), "a case without a problem shows nothing"


def test_the_shop_itself_has_nothing_wrong_with_it() -> None:
    """Else every case would be stopped by the shop's own trouble."""
    from pipeline.load import load_shop

    assert not has_errors(load_shop(SHOP).problems)
