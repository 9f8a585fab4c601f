"""What plastic keeps of its rating in warm water, against printed rows."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from terrain_head.base.citation import Source
from terrain_head.base.measured import Measured
from terrain_head.base.units import to_si
from terrain_head.formulas.pipe_warmth import (
    AS_NZS_4130,
    DERATINGS,
    PE100_DERATING,
    PE_DERATING,
    PVC_DERATING,
    Derating,
    rating_share,
)
from terrain_head.scheme.parts import PipeSpec
from tests.worked_examples import WorkedExample

PVC_PAGES = Source(
    key="pvc-temperature-pages", author="various suppliers",
    title="Ratings of PVC pipe in warm water", year="no year", obtained="read in a copy",
)  # fmt: skip
ALL = pytest.mark.parametrize("derating", DERATINGS.values(), ids=DERATINGS.keys())


@pytest.mark.parametrize(
    ("degrees", "share"),
    [("73.4", "1"), ("80", ".88"), ("90", ".75"), ("100", ".62"), ("110", ".50"), ("120", ".40"),
     ("130", ".30"), ("140", ".22")],
)  # fmt: skip
def test_pvc_by_the_handbook(degrees: str, share: str) -> None:
    example = WorkedExample(
        name=f"PVC {degrees} F",
        kind="published",
        source=PVC_DERATING.citation,
        inputs={"degrees": degrees},
        printed={"share": share},
    )
    warm = to_si(example.given("degrees"), "F")
    example.assert_result("share", float(rating_share(warm, derating=PVC_DERATING)))


@pytest.mark.parametrize(
    ("page", "degrees", "printed", "right"),
    [("one page", "110", ".51", ".50"), ("one page", "130", ".31", ".30"),
     ("another page", "110", ".63", ".50")],
)  # fmt: skip
def test_other_pages_of_pvc_leave_the_handbook(
    page: str, degrees: str, printed: str, right: str
) -> None:
    example = WorkedExample(
        name=f"PVC {degrees} F on {page}",
        kind="published",
        source=PVC_PAGES.at(page),
        inputs={"degrees": degrees},
        printed={"share": printed},
        errata={"share": right},
    )
    warm = to_si(example.given("degrees"), "F")
    example.assert_result("share", float(rating_share(warm, derating=PVC_DERATING)))


@pytest.mark.parametrize(
    ("degrees", "head"),
    [("20", "100"), ("25", "100"), ("30", "94"), ("35", "89"), ("40", "84"), ("45", "80"),
     ("50", "76")],
)  # fmt: skip
def test_pe100_by_its_standard(degrees: str, head: str) -> None:
    """Metres of head that a pipe of PN 10, 100 m, may still carry."""
    example = WorkedExample(
        name=f"PE100 {degrees} C",
        kind="published",
        source=AS_NZS_4130.at("PN 10"),
        inputs={"degrees": degrees},
        printed={"head": head},
    )
    share = rating_share(example.given("degrees"), derating=PE100_DERATING)
    example.assert_result("head", 100 * float(share))


@pytest.mark.parametrize(
    ("pn", "degrees", "printed", "right"),
    [("25", "40", "221", "211"), ("12.5", "35", "116", "111")],
)
def test_two_figures_of_the_standards_copy_leave_its_own_pattern(
    pn: str, degrees: str, printed: str, right: str
) -> None:
    example = WorkedExample(
        name=f"PE100 PN {pn}, {degrees} C",
        kind="published",
        source=AS_NZS_4130.at(f"PN {pn}"),
        inputs={"degrees": degrees},
        printed={"head": printed},
        errata={"head": right},
        looser_because={"head": ("1", "shares of a hundredth")},
    )
    share = rating_share(example.given("degrees"), derating=PE100_DERATING)
    example.assert_result("head", 10 * float(pn) * float(share))


@pytest.mark.parametrize(
    ("degrees", "share"), [(40.0, 1.0), (80.0, 1.0), (90.0, 0.9), (100.0, 0.8)]
)
def test_pe4710_keeps_four_fifths_at_a_hundred_fahrenheit(degrees: float, share: float) -> None:
    found = rating_share(to_si(degrees, "F"), derating=PE_DERATING)
    assert share == pytest.approx(float(found))


@ALL
def test_beyond_its_table_nothing_is_promised(derating: Derating) -> None:
    assert not np.isnan(rating_share(derating.warmest_c, derating=derating))
    assert np.isnan(rating_share(derating.warmest_c + 1e-3, derating=derating))


@ALL
@given(cold=st.floats(-5.0, 37.0), warmer=st.floats(0.0, 20.0))
def test_warmer_plastic_never_bears_more(derating: Derating, cold: float, warmer: float) -> None:
    shares = rating_share([cold, min(cold + warmer, derating.warmest_c)], derating=derating)
    assert 1 >= shares[0] >= shares[1] > 0


@pytest.mark.parametrize(
    ("rating", "derating", "degrees", "left"),
    [
        (16e5, PE100_DERATING, 10.0, 16e5),
        (16e5, PE100_DERATING, 40.0, 0.84 * 16e5),
        (16e5, PE100_DERATING, 51.0, None),
        (None, PE100_DERATING, 10.0, None),
        (16e5, None, 90.0, 16e5),
    ],
)
def test_a_pipe_bears_what_is_left_of_its_rating(
    rating: float | None, derating: Derating | None, degrees: float, left: float | None
) -> None:
    pipe = PipeSpec(
        label="pipe",
        inside_m=Measured(value=0.026),
        roughness_m=Measured(value=1.5e-6),
        rating_pa=rating,
        derating=derating,
    )
    found = pipe.rating_at(degrees)
    assert (found is None) == (left is None)
    if left is not None:
        assert left == pytest.approx(found)
