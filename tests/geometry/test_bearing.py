"""Sections, strength, standing and movement on real pieces; and silence where the maker has not said what it is for."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from geometry.errors import ProjectFileError
from geometry.files import project_from_json, project_to_json
from geometry.findings import findings_of
from geometry.layup import Plain, Stripes
from geometry.loads import DEFAULT_LOADS, loads_of
from geometry.movement import movement_of
from geometry.piece import build
from geometry.project import Blank, Cut, Limits, Project, Variant
from geometry.sections import polygon_moments, sections_at
from geometry.standing import standing_of, tip_angle, toward_words
from geometry.strength import strength_of
from geometry.tolerances import LIVE_CHORD_MM
from geometry.use import Plate, Use
from geometry.wire_channel import wire_channel
from geometry.wood_volumes import wood_in
from tests import strategies
from tests.geometry.test_lines import nodes

ABOUT_USE = {"ankle-overstressed", "load-line-outside", "channel-wall-too-thin", "tips-over"}
SWING = nodes((0, 0), (12, 140), (-10, 280), (0, 400))


def column(size=60.0, length=400.0, front=(), side=(), layup=None, **keys):
    return Variant(
        "A", Blank(size, size, length), layup or Plain(), front=Cut(nodes=front), side=Cut(nodes=side), **keys
    )


def found(variant, use=None):
    return {f.code: f for f in findings_of(build(replace(variant, use=use), LIVE_CHORD_MM))}


# ---------------------------------------------------------------- sections


@given(strategies.trimmed_variants(of=strategies.lines), st.floats(0.0, 1.0))
def test_a_section_is_as_large_as_its_two_widths(variant, share):
    piece = build(variant, LIVE_CHORD_MM)
    z = share * variant.blank.length * 0.999
    (section,) = sections_at(piece, [z])
    wide, deep = piece.front.widths.at(np.array([z]))[0], piece.side.widths.at(np.array([z]))[0]
    # at a jump of a profile the widths take the lesser side
    assert section.area >= wide * deep * (1 - 1e-9) - 1e-6
    moments = polygon_moments(section)
    if section.geom_type == "Polygon" and moments is not None:
        x0, y0, x1, y1 = section.bounds
        assert moments.ixx_mm4 == pytest.approx((x1 - x0) * (y1 - y0) ** 3 / 12.0)
        assert moments.iyy_mm4 == pytest.approx((y1 - y0) * (x1 - x0) ** 3 / 12.0)
        assert (moments.x_mm, moments.y_mm) == pytest.approx(((x0 + x1) / 2.0, (y0 + y1) / 2.0))


def test_a_straight_piece_has_one_section_from_foot_to_top():
    piece = build(column())
    for section in sections_at(piece, [0.0, 200.0, 400.0]):
        assert section.bounds == pytest.approx((-29.55, -29.55, 29.55, 29.55))


def test_nothing_has_no_moments():
    assert polygon_moments(shapely.Polygon()) is None


# ---------------------------------------------------------------- strength


def test_without_a_use_nothing_is_said_of_load_or_balance():
    thin = column(19.0, 900.0)
    assert not ABOUT_USE & set(found(thin))
    assert not ABOUT_USE & set(found(thin, Use()))


def test_an_ankle_bears_as_much_as_it_says():
    leg = column(26.0, 500.0, layup=Plain("cherry"))
    strength = strength_of(build(leg), Use("leg", load_n=0.0, push_n=100.0))
    borne = strength.push_borne_n
    assert strength.worst.z_mm == pytest.approx(500.0)  # it is held at the top
    assert strength.species == "cherry"
    assert "ankle-overstressed" not in found(leg, Use("leg", load_n=0.0, push_n=borne * 0.999))
    over = found(leg, Use("leg", load_n=0.0, push_n=borne * 1.001))["ankle-overstressed"]
    assert over.severity == "caution"
    assert "indicative" in over.message
    assert over.at == pytest.approx((0.0, 500.0))


def test_a_post_is_weakest_at_its_foot():
    strength = strength_of(build(column()), Use("post"))
    assert strength.worst.z_mm == 0.0
    assert strength.loads == DEFAULT_LOADS["post"]


def test_straight_down_on_a_straight_column_presses_evenly():
    strength = strength_of(build(column()), Use("post", load_n=5000.0, push_n=0.0))
    assert [s.stress_mpa for s in strength.strains] == pytest.approx([5000.0 / 59.1**2] * len(strength.strains))
    assert strength.load_line.inside_mm == pytest.approx(29.55)


def test_off_the_middle_it_bends_as_well():
    strength = strength_of(build(column()), Use("post", load_n=5000.0, push_n=0.0, offset_mm=20.0))
    over_corner = 59.1**3 * math.sqrt(2.0) / 12.0
    assert strength.worst.stress_mpa == pytest.approx(5000.0 / 59.1**2 + 5000.0 * 20.0 / over_corner)


def test_a_swing_bends_under_the_load_and_weakens_by_its_grain():
    straight, swung = (strength_of(build(column(front=f)), Use("post", push_n=0.0)) for f in ((), SWING))
    assert swung.worst.stress_mpa > 1.5 * straight.worst.stress_mpa
    assert swung.worst.bears_mpa < straight.worst.bears_mpa


def test_the_load_line_leaves_a_bow():
    bow = nodes((-25, 0), (25, 200), (-25, 400))
    outside = found(column(80.0, front=bow), Use("post"))["load-line-outside"]
    assert outside.severity == "advice"
    # the swing of 50 mm less half the thickness
    assert strength_of(build(column(80.0, front=bow)), Use("post")).load_line.inside_mm == pytest.approx(-10.5, abs=0.2)
    assert "load-line-outside" not in found(column(80.0, front=SWING), Use("post"))


def test_a_mixed_blank_is_reckoned_with_its_weakest_wood():
    mixed = Stripes("x", ((20.0, "maple"), (20.0, "basswood"), (20.0, "maple")))
    assert strength_of(build(column(layup=mixed)), Use("post")).species == "basswood"


def test_damp_weakens_it():
    dry, damp = (strength_of(build(column()), Use("post", humidity_percent=h)) for h in ((30.0, 50.0), (60.0, 90.0)))
    assert damp.worst.used > 1.2 * dry.worst.used


def test_a_shade_weighs():
    assert loads_of(Use("lamp", top_mass_kg=2.0)).down_n == pytest.approx(19.62)
    assert loads_of(Use()) is None


@given(strategies.wild_shaped_variants(), st.sampled_from(["leg", "lamp", "stool", "post"]))
def test_whatever_the_design_the_answers_are_numbers_or_nothing(variant, kind):
    use = Use(kind, top_mass_kg=1.0, channel_mm=10.0, plate=None)
    piece = build(replace(variant, use=use), LIVE_CHORD_MM)
    strength = strength_of(piece, use)
    if strength is not None:
        assert math.isfinite(strength.worst.used)
        assert strength.worst.used == max(s.used for s in strength.strains)
        assert strength.load_line is None or math.isfinite(strength.load_line.inside_mm)
    wood = wood_in(piece)
    standing = standing_of(piece, use, wood.mass_kg, wood.centre_mm)
    if standing is not None:
        assert kind != "leg"
        assert math.isfinite(standing.tip_angle_deg)
    for f in findings_of(piece):
        assert "nan" not in f.message
        assert "inf" not in f.message


# ---------------------------------------------------------------- standing


@given(st.floats(30.0, 90.0), st.floats(200.0, 900.0))
def test_a_square_prism_tips_over_half_its_side(size, length):
    piece = build(column(size, length))
    wood = wood_in(piece)
    standing = standing_of(piece, Use("post"), wood.mass_kg, wood.centre_mm)
    assert math.tan(math.radians(standing.tip_angle_deg)) == pytest.approx((size - 0.9) / length)


@given(st.floats(-3.0, 3.0), st.floats(0.0, 2.0 * math.pi))
def test_the_tip_angle_does_not_depend_on_how_it_stands_in_the_room(shift, turn):
    corners = np.array([(50.0, 40.0), (-50.0, 40.0), (-50.0, -40.0), (50.0, -40.0)])
    cosine, sine = math.cos(turn), math.sin(turn)
    rotation = np.array([(cosine, -sine), (sine, cosine)])
    at = rotation @ np.array([10.0, -5.0])
    reach, angle, _ = tip_angle((at[0] + shift, at[1], 200.0), corners @ rotation.T + [shift, 0.0])
    assert reach == pytest.approx(35.0)
    assert angle == pytest.approx(math.atan2(35.0, 200.0))


def test_it_tips_towards_where_it_leans():
    lean = nodes((-15, 0), (15, 400), kinds="cc")
    piece = build(column(60.0, front=lean))
    wood = wood_in(piece)
    standing = standing_of(piece, Use("post"), wood.mass_kg, wood.centre_mm)
    assert standing.toward == "right"
    assert standing.reach_mm == pytest.approx(29.55 - 15.0, abs=0.1)


@pytest.mark.parametrize(
    ("direction", "words"),
    [((1, 0), "right"), ((1, 1), "back right"), ((0, 1), "back"), ((-1, 0), "left"), ((-1, -1), "front left"),
     ((0, -1), "front")],
)  # fmt: skip
def test_directions_are_those_of_who_looks_at_the_front(direction, words):
    assert toward_words(direction) == words


def test_what_tips_is_told_and_how_far_it_is_from_being_wise():
    lamp = column(70.0, 450.0)
    shade = {"top_mass_kg": 0.6, "top_height_mm": 570.0}
    tips = found(lamp, Use("lamp", **shade))["tips-over"]
    assert tips.severity == "caution"
    assert "screening" in tips.message
    assert "not certification" in tips.message
    plate = Plate(160.0, 160.0, 25.0)
    assert "tips-over" not in found(lamp, Use("lamp", plate=plate, **shade))
    smaller = found(lamp, Use("lamp", plate=Plate(100.0, 100.0, 25.0), **shade))["tips-over"]
    assert smaller.severity == "advice"
    children = found(lamp, Use("lamp", plate=Plate(130.0, 130.0, 25.0), for_children=True, **shade))["tips-over"]
    assert (children.severity, "children" in children.message) == ("caution", True)


def test_what_leans_out_of_its_foot_falls_by_itself():
    lean = nodes((-38, 0), (38, 900), kinds="cc")
    falls = found(column(80.0, 900.0, front=lean, limits=Limits(wall=0.5)), Use("post", top_mass_kg=20.0))["tips-over"]
    assert "by itself" in falls.message


def test_a_leg_does_not_stand_alone():
    assert "tips-over" not in found(column(30.0, 700.0), Use("leg"))


# ---------------------------------------------------------------- the wire channel


@given(strategies.trimmed_variants(), st.floats(2.0, 12.0))
def test_no_wall_beside_a_channel_is_thinner_than_told(variant, bore):
    piece = build(variant, LIVE_CHORD_MM)
    channel = wire_channel(piece, bore)
    for z in np.linspace(0.0, variant.blank.length * 0.999, 40):
        (section,) = sections_at(piece, [z])
        around = [p for p in shapely.get_parts(section) if p.contains(shapely.Point(0.0, 0.0))]
        if around:
            x0, y0, x1, y1 = around[0].bounds
            assert min(x1, -x0, y1, -y0) - channel.chamfer_mm >= channel.wall_mm - 1e-3


def test_a_channel_that_comes_near_the_outside():
    swung = column(front=nodes((0, 0), (15, 200), (0, 400)))
    assert "channel-wall-too-thin" not in found(swung, Use(channel_mm=10.5))
    thin = found(swung, Use(channel_mm=14.0))["channel-wall-too-thin"]
    assert thin.at[1] == pytest.approx(200.0, abs=1.0)
    assert "breaks through" in found(swung, Use(channel_mm=22.0))["channel-wall-too-thin"].message


# ---------------------------------------------------------------- movement


def test_the_seasons_move_a_walnut_column():
    moves = movement_of(build(column()), Use(humidity_percent=(30.0, 65.0)))
    # 6.2 to 12.0 % moisture, 7.8 % shrinkage along the rings over 30 %
    assert moves.moisture_percent == pytest.approx((6.17, 11.96), abs=0.01)
    assert moves.width.tangential_mm == pytest.approx(59.1 * 0.078 * (11.96 - 6.17) / 30.0, abs=1e-3)
    assert moves.width.radial_mm == pytest.approx(59.1 * 0.055 * (11.96 - 6.17) / 30.0, abs=1e-3)
    assert moves.unlike is None


def strips(a, b, size):
    return column(size, layup=Stripes("x", ((size / 2.0, a), (size / 2.0, b))))


def test_woods_that_move_alike_may_be_glued_together():
    assert "woods-move-differently" not in found(strips("walnut", "maple", 90.0))
    told = found(strips("teak", "beech", 90.0))["woods-move-differently"]
    assert told.severity == "advice"
    assert "beech swells so much more than teak" in told.message
    assert "woods-move-differently" not in found(strips("teak", "beech", 40.0))
    steady = Use(humidity_percent=(50.0, 55.0))
    assert "woods-move-differently" not in found(strips("teak", "beech", 90.0), steady)


# ---------------------------------------------------------------- in the file


def test_a_use_is_kept_in_the_file():
    use = Use(
        "lamp", 10.0, 5.0, 3.0, 0.6, 570.0, (300.0, 310.0), Plate(160.0, 150.0, 25.0, "maple"), 10.5, True, (30, 60)
    )
    project = Project((column(use=use),))
    assert project_from_json(project_to_json(project)) == project
    assert "use" not in project_to_json(Project((column(),)))["variants"][0]


@pytest.mark.parametrize(
    ("use", "sentence"),
    [
        ({"kind": "chair"}, "use.kind: expected one of leg, lamp, stool, post, found 'chair'"),
        ({"load_n": -1}, "use.load_n: expected a number not below 0"),
        ({"plate": {"width": 100, "depth": 100, "thickness": 0}}, "use.plate.thickness: expected a number above 0"),
        ({"humidity_percent": [60, 40]}, "expected the driest first"),
        ({"humidity_percent": [60, 140]}, "expected at most 100"),
        ({"seat_mm": [2, 300]}, "seat_mm[0]: expected a size"),
    ],
)
def test_what_is_no_use_is_refused_in_one_sentence(use, sentence):
    raw = project_to_json(Project((column(),)))
    raw["variants"][0]["use"] = use
    with pytest.raises(ProjectFileError) as error:
        project_from_json(raw)
    assert sentence in str(error.value)


def test_teeth_are_kept_with_the_blade():
    raw = project_to_json(Project((column(),)))
    raw["variants"][0]["front"]["blade"] = {"width": 6.35, "teeth_per_inch": 4}
    assert project_from_json(raw).variants[0].front.blade.teeth_per_inch == 4
    raw["variants"][0]["front"]["blade"]["teeth_per_inch"] = 0
    with pytest.raises(ProjectFileError):
        project_from_json(raw)
