"""Bench lists: what is in them, how long they take, how a crew puts in its own."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.errors import InputFaults
from planner.gear.steps import bench_steps, built_in_steps, read_steps, step_faults
from planner.job import BenchHand, BenchList, BenchStep, CrewRules, Gear
from planner.job.crew_rules import BUILT_IN_MIN
from planner.job.gear import TENDERS, dressing_minutes
from tests.world.lock import job


def _steps(*rows: tuple[str, BenchHand, float, str]) -> tuple[BenchStep, ...]:
    return tuple(
        BenchStep(
            id=name,
            gear=Gear.HEAVY,
            list=BenchList.DRESSING,
            order=order,
            who=who,
            minutes=minutes,
            do="something",
            side_by_side=mark,
        )
        for order, (name, who, minutes, mark) in enumerate(rows, start=1)
    )


def by_list(gear: Gear, name: BenchList, tenders: int | None = None) -> int:
    """Minutes of a built-in list, with the tenders that it is made for unless told."""
    return dressing_minutes(bench_steps(gear, name), tenders or TENDERS[gear])


@pytest.mark.parametrize("gear", list(Gear))
def test_default_minutes_are_the_lists_sums(gear: Gear) -> None:
    """The crew rules start from what the lists add up to (minutes: common practice, from memory)."""
    assert by_list(gear, BenchList.DRESSING) == CrewRules().dressing_min(gear)
    assert by_list(gear, BenchList.UNDRESSING) == CrewRules().undressing_min(gear)


@pytest.mark.parametrize("gear", list(Gear))
@pytest.mark.parametrize("tenders", [1, 2, 3])
def test_minutes_by_hands_are_the_lists_sums(gear: Gear, tenders: int) -> None:
    """With one tender it takes what the built-in list takes with one: 53 min into heavy dress, not 30."""
    assert by_list(gear, BenchList.DRESSING, tenders) == CrewRules().dressing_min(gear, tenders)
    assert by_list(gear, BenchList.UNDRESSING, tenders) == CrewRules().undressing_min(gear, tenders)
    assert CrewRules().dressing_min(Gear.HEAVY, 1) == 53


@pytest.mark.parametrize("tenders", [1, 2])
@pytest.mark.parametrize(("gear", "name"), BUILT_IN_MIN)
def test_the_sums_kept_beside_the_rules_are_the_lists(gear: Gear, name: BenchList, tenders: int) -> None:
    """What stands in place of a measured time of 0 is the sum of the shipped list, for one hand and two."""
    assert BUILT_IN_MIN[gear, name][tenders - 1] == by_list(gear, name, tenders)


def test_a_measured_time_is_for_all_hands() -> None:
    """A crew that measured 20 min with two takes 20 × 53 / 30 = 35.3, so 36 min with one."""
    rules = CrewRules(dressing_heavy_min=20, undressing_heavy_min=11)
    assert [rules.dressing_min(Gear.HEAVY, n) for n in (1, 2)] == [36, 20]
    assert rules.undressing_min(Gear.HEAVY, 1) == 22


@pytest.mark.parametrize("gear", list(Gear))
def test_inspecting_and_connecting_takes_what_the_lists_add_up_to(gear: Gear) -> None:
    """As shipped: both lists by as many tenders as dress a diver (26 and 3 min in heavy dress: memory)."""
    lists = (BenchList.INSPECTION, BenchList.CONNECTING)
    minutes = sum(dressing_minutes(bench_steps(gear, name), TENDERS[gear]) for name in lists)
    rules = CrewRules()
    assert minutes == (rules.inspection_heavy_min if gear is Gear.HEAVY else rules.inspection_light_min)


def test_two_tenders_dress_one_diver_in_heavy_dress() -> None:
    """Common practice: two tenders dress one diver; one alone takes longer, a third saves nothing."""
    steps = bench_steps(Gear.HEAVY, BenchList.DRESSING)
    assert dressing_minutes(steps, 1) > dressing_minutes(steps, 2) == dressing_minutes(steps, 3)
    assert {BenchHand.FIRST, BenchHand.SECOND, BenchHand.BOTH} <= {s.who for s in steps}
    assert all(s.who is not BenchHand.SECOND for s in built_in_steps(Gear.LIGHT))


def test_side_by_side_runs_at_once() -> None:
    """Two legs laced at the same time take as long as the slower hand."""
    apart = _steps(("a", BenchHand.FIRST, 2, ""), ("b", BenchHand.SECOND, 3, ""))
    together = _steps(("a", BenchHand.FIRST, 2, "legs"), ("b", BenchHand.SECOND, 3, "legs"))
    assert dressing_minutes(apart) == 5
    assert dressing_minutes(together) == 3
    assert dressing_minutes(together, 1) == 5


def test_a_mark_used_again_later_is_a_new_group() -> None:
    """Only neighbours run together."""
    steps = _steps(
        ("a", BenchHand.FIRST, 2, "x"), ("b", BenchHand.BOTH, 1, ""), ("c", BenchHand.SECOND, 2, "x")
    )
    assert dressing_minutes(steps) == 5


def test_a_step_for_both_takes_one_tender_twice_as_long() -> None:
    """And fractions are rounded up once, at the end."""
    steps = _steps(("a", BenchHand.BOTH, 1.25, ""), ("b", BenchHand.DIVER, 0.5, ""))
    assert dressing_minutes(steps) == 2
    assert dressing_minutes(steps, 1) == 3


def test_nobody_dresses_alone() -> None:
    """No tender, no dressing."""
    with pytest.raises(ValueError, match="tender"):
        dressing_minutes((), 0)


def _found(gear: Gear, name: BenchList, word: str) -> BenchStep:
    return next(s for s in bench_steps(gear, name) if word in s.id)


def _order(name: BenchList, gear: Gear = Gear.HEAVY) -> dict[str, int]:
    return {step.id: place for place, step in enumerate(bench_steps(gear, name))}


def test_heavy_dress_facts_of_the_trade() -> None:
    """Common practice: twelve nuts tried again, belt of 84 lb for two, straps loaded with 160 lb, exhaust two
    and a half turns, lifeline gasket never oiled, faceplate last on the diver's word."""
    order = _order(BenchList.DRESSING)
    assert "84 lb" in _found(Gear.HEAVY, BenchList.DRESSING, "belt").do
    assert _found(Gear.HEAVY, BenchList.DRESSING, "belt").who is BenchHand.BOTH
    assert "twelve" in _found(Gear.HEAVY, BenchList.DRESSING, "nuts-again").do
    assert "two and a half turns" in _found(Gear.HEAVY, BenchList.DRESSING, "exhaust").do
    assert "160 lb" in _found(Gear.HEAVY, BenchList.INSPECTION, "belt").do
    assert "never oiled" in _found(Gear.HEAVY, BenchList.INSPECTION, "lifeline-gasket").good
    assert order["heavy-joint-nuts"] < order["heavy-nuts-again"] < order["heavy-belt-on"]
    assert order["heavy-exhaust-set"] < order["heavy-faceplate-shut"] == len(order) - 2


def test_the_air_valve_goes_on_after_the_helmet_and_comes_off_before_it() -> None:
    """Common practice: the valve hangs on the helmet's whip, so it goes onto the long stud when the helmet is
    home, just before the lines are lashed, and off it before the helmet is turned."""
    on, off = _order(BenchList.DRESSING), _order(BenchList.UNDRESSING)
    assert on["heavy-helmet-on"] + 1 == on["heavy-long-stud"] == on["heavy-hose-lashed"] - 1
    assert off["heavy-lines-off"] < off["heavy-valve-off"] < off["heavy-helmet-off"]


def test_the_non_return_valve_goes_back_on() -> None:
    """Common practice: taken off for its test it is refitted, the arrow looked at and seen by the supervisor,
    before anything is connected."""
    order = _order(BenchList.INSPECTION)
    back = _found(Gear.HEAVY, BenchList.INSPECTION, "non-return-back")
    assert order["heavy-non-return"] < order["heavy-non-return-back"]
    assert "take it off" in _found(Gear.HEAVY, BenchList.INSPECTION, "non-return").do
    assert "arrow" in back.do
    assert back.signed_by == "supervisor"


def test_nuts_off_before_straps_and_the_valve_between_hose_and_helmet() -> None:
    """Common practice: no strap is laid over studs on which nuts are being run; the hose ends at the air
    control valve and its whip at the non-return valve, coupled before air is heard by turning that valve."""
    steps = {s.id: s for s in bench_steps(Gear.HEAVY, BenchList.INSPECTION)}
    order = _order(BenchList.INSPECTION)
    assert order["heavy-studs"] < order["heavy-strap-fit"] < order["heavy-helmet-turn"]
    assert steps["heavy-studs"].side_by_side != steps["heavy-strap-fit"].side_by_side
    coupled = _found(Gear.HEAVY, BenchList.CONNECTING, "connect-hose").do
    assert "air control valve" in coupled
    assert "whip to the non-return valve" in coupled
    connecting = _order(BenchList.CONNECTING)
    assert connecting["heavy-connect-hose"] < connecting["heavy-air-heard"]


def test_air_and_telephone_are_heard_in_time() -> None:
    """Common practice: both heard at the bench before anybody is dressed, air again before the faceplate."""
    for gear in Gear:
        connecting = [s for s in bench_steps(gear, BenchList.CONNECTING) if s.hold_point]
        told = " ".join(s.do for s in connecting)
        assert "Telephone" in told
        assert "air" in told
    dressing = _order(BenchList.DRESSING)
    assert dressing["heavy-helmet-on"] < dressing["heavy-telephone"] < dressing["heavy-air-on"]
    assert dressing["heavy-air-on"] + 1 == dressing["heavy-faceplate-shut"]
    light = _found(Gear.LIGHT, BenchList.DRESSING, "helmet-on").do
    assert light.index("heard") < light.index("helmet over")


@pytest.mark.parametrize(
    "word",
    ["hose-along", "lifeline-along", "strap-fit", "valve-link", "faceplate", "cuffs", "knife", "wrenches"],
)
def test_the_inspection_leaves_nothing_out(word: str) -> None:
    """Common practice: hose and lifeline along their length, straps on the breastplate, link and threads of
    the valve, nut of the faceplate, cuffs, knife and wrenches are looked at too."""
    assert _found(Gear.HEAVY, BenchList.INSPECTION, word).good
    assert "nut" in _found(Gear.HEAVY, BenchList.INSPECTION, "faceplate").do


def test_the_lists_take_as_long_as_before() -> None:
    """Minutes from memory: 26 to look over an outfit in heavy dress by two tenders, 3 to connect it."""
    lists = (BenchList.INSPECTION, BenchList.CONNECTING)
    assert [by_list(gear, name) for gear in Gear for name in lists] == [26, 3, 14, 3]


def test_nothing_is_said_of_a_helmet_seat() -> None:
    """What lies on the shoulders is the breastplate."""
    assert not any("helmet seat" in f"{s.do} {s.good}" for gear in Gear for s in built_in_steps(gear))


@pytest.mark.parametrize("gear", list(Gear))
def test_who_does_a_step_does_not_sign_it(gear: Gear) -> None:
    """A hold point is a second pair of eyes: the duty that signs is not that of the hand."""
    duties = {BenchHand.DIVER: "diver", BenchHand.SUPERVISOR: "supervisor"}
    for step in built_in_steps(gear):
        assert step.signed_by != duties.get(step.who, "tender"), step.id


@pytest.mark.parametrize("gear", list(Gear))
def test_the_non_return_valve_is_a_hold_point(gear: Gear) -> None:
    """Common practice: its test is never skipped, and a valve that passes anything is scrapped."""
    step = next(s for s in bench_steps(gear, BenchList.INSPECTION) if s.id.endswith("non-return"))
    assert step.hold_point
    assert "scrapped" in step.when_not


def test_hold_points_before_the_water() -> None:
    """Nuts tried again, helmet home, long stud's nut back, telephone, exhaust, air heard and faceplate are
    signed."""
    signed = [s.id for s in bench_steps(Gear.HEAVY, BenchList.DRESSING) if s.hold_point]
    assert signed == [
        "heavy-nuts-again",
        "heavy-helmet-on",
        "heavy-long-stud",
        "heavy-telephone",
        "heavy-exhaust-set",
        "heavy-air-on",
        "heavy-faceplate-shut",
    ]


@pytest.mark.parametrize("gear", list(Gear))
def test_every_built_in_step_is_whole(gear: Gear) -> None:
    """Each says what good is and what to do when it is not, and on what ground it stands."""
    steps = built_in_steps(gear)
    assert {s.list for s in steps} == set(BenchList)
    assert step_faults(steps) == []
    assert all(s.good and s.when_not and "common practice" in s.basis for s in steps)


def test_own_steps_take_the_place_of_one_list() -> None:
    """A crew's own dressing list replaces that list of that gear kind and no other."""
    own = _steps(("mine", BenchHand.BOTH, 12, ""))
    rules = CrewRules(bench_steps=own)
    assert bench_steps(Gear.HEAVY, BenchList.DRESSING, rules) == own
    assert bench_steps(Gear.HEAVY, BenchList.INSPECTION, rules) == bench_steps(
        Gear.HEAVY, BenchList.INSPECTION
    )
    assert bench_steps(Gear.LIGHT, BenchList.DRESSING, rules) == bench_steps(Gear.LIGHT, BenchList.DRESSING)
    assert job(rules=rules).rules.bench_steps == own


def test_a_list_can_be_read_from_text() -> None:
    """Lists are editable as TOML; the order is that of the text."""
    text = """
    [[dressing]]
    id = "one"
    who = "both tenders"
    minutes = 2
    do = "First."
    [[dressing]]
    id = "two"
    who = "diver"
    minutes = 1
    do = "Second."
    signed_by = "supervisor"
    """
    one, two = read_steps(text, Gear.LIGHT)
    assert (one.order, two.order) == (1, 2)
    assert two.hold_point and not one.hold_point


def test_every_fault_of_a_list_is_told_at_once() -> None:
    """An unknown list, a hand that is none, negative minutes, an id twice: all named."""
    text = """
    [[polishing]]
    id = "x"
    [[dressing]]
    id = "one"
    who = "cook"
    minutes = 2
    do = "First."
    [[dressing]]
    id = "two"
    who = "diver"
    minutes = -1
    do = "Second."
    [[undressing]]
    id = "same"
    who = "diver"
    minutes = 1
    do = "Third."
    [[undressing]]
    id = "same"
    who = "diver"
    minutes = 1
    do = "Fourth."
    """
    with pytest.raises(InputFaults) as caught:
        read_steps(text, Gear.HEAVY, "my list")
    told = str(caught.value)
    assert len(caught.value.faults) == 4
    assert "polishing" in told and "cook" in told and "-1" in told and "same" in told
    assert "my list, dressing step 2: minutes" in told


@pytest.mark.parametrize("text", ["[[dressing", "dressing = 3", "dressing = [1]"])
def test_text_that_is_no_list_is_refused(text: str) -> None:
    """Not TOML, or not a list of steps."""
    with pytest.raises(InputFaults):
        read_steps(text, Gear.HEAVY)


_ROWS = st.lists(
    st.tuples(
        st.sampled_from(list(BenchHand)),
        st.integers(0, 40).map(lambda n: n / 4),
        st.sampled_from(["", "a", "b"]),
    ),
    max_size=8,
)


@given(_ROWS)
def test_more_tenders_never_take_longer(rows: list[tuple[BenchHand, float, str]]) -> None:
    """Two tenders are never slower than one, and never faster than half the work."""
    steps = _steps(*((f"s{n}", who, minutes, mark) for n, (who, minutes, mark) in enumerate(rows)))
    two, one = dressing_minutes(steps, 2), dressing_minutes(steps, 1)
    assert two <= one
    assert two <= sum(s.minutes for s in steps) + 1


@pytest.mark.parametrize("gear", list(Gear))
def test_minutes_come_from_the_list_unless_a_crew_measured_its_own(gear: Gear) -> None:
    """A measured time of 0 means the sum of the list: the built-in one, or the crew's own steps."""
    zero = CrewRules(
        dressing_heavy_min=0, undressing_heavy_min=0, dressing_light_min=0, undressing_light_min=0
    )
    assert zero.dressing_min(gear) == by_list(gear, BenchList.DRESSING)
    assert zero.undressing_min(gear) == by_list(gear, BenchList.UNDRESSING)
    own = BenchStep(
        id="all at once",
        gear=gear,
        list=BenchList.DRESSING,
        order=1,
        who=BenchHand.FIRST,
        minutes=41,
        do="Dress.",
    )
    assert zero.replace(bench_steps=(own,)).dressing_min(gear) == 41
    assert (
        CrewRules(bench_steps=(own,), dressing_heavy_min=33, dressing_light_min=33).dressing_min(gear) == 33
    )
