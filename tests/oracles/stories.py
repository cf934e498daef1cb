"""Ten boxes as keepers describe them, their light and heat, and what practice says of each. Common practice, no source."""

from __future__ import annotations

from oracles.story_parts import (
    GLASS,
    Claim,
    HeatClaim,
    Story,
    box,
    by_day,
    celsius,
    hatchling_minutes,
    heat_of,
    number,
    room,
    state_of,
    verdict,
    wood,
)

# A room that is the same all year is asked about once.
ROOM_OF_23 = "site: {room: {winter: 23 degC}}\n"
ROOM_OF_24 = "site: {room: {winter: 24 degC}}\n"

ARBOREAL = Story(
    "arboreal basker in a school hall",
    box(
        "Hall",
        (160, 80, 180),
        wood(),
        "species: Physignathus cocincinus, name: dragon, count: 2",
        by_day(
            """fixtures:
  - {name: tube one, lamp: uv-t5-54w-reflector, from: [20 cm, 30 cm, 172 cm], to: [135 cm, 30 cm, 172 cm]}
  - {name: tube two, lamp: uv-t5-54w-reflector, from: [20 cm, 45 cm, 172 cm], to: [135 cm, 45 cm, 172 cm]}
  - {name: flood one, lamp: halogen-reflector-75w-38deg, at: [60 cm, 60 cm, 170 cm], aim: [62 cm, 42 cm, 120 cm]}
  - {name: flood two, lamp: halogen-reflector-75w-38deg, at: [95 cm, 60 cm, 170 cm], aim: [93 cm, 42 cm, 120 cm]}
perches:
  - {name: limb, path: [[0 cm, 38 cm, 119 cm], [160 cm, 38 cm, 119 cm]], diameter: [7 cm], wood: oak}
"""
        ),
        room(18, 27, 2),
    ),
    (
        Claim("guards are demanded: it leaps", lambda r: verdict(r, "lamp-guard") == "short"),
        Claim(
            "the UV index on the limb is 2 to 3",
            lambda r: 1.8 <= number(r, "perch:dragon:limb:uvi.expected") <= 3.3,
            "two medium tubes side by side, each 1.4-1.8 at 45 cm, add up to 3 to 3.5; the library's middle is higher still",
        ),
        Claim("a stretch higher is flagged", lambda r: verdict(r, "uv-ceiling") == "over"),
        Claim("the body does not pass the house door", None),
    ),
    (
        HeatClaim(
            "the box loses about 31 W for each degree before vents",
            lambda r: 22.0 <= heat_of(r, "winter", "loss") <= 42.0,
            lambda r: f"{heat_of(r, 'winter', 'loss'):.0f} W/K by day in winter, gaps among them",
        ),
        HeatClaim(
            "8 K above the room need about 250 W",
            lambda r: 190.0 <= 8.0 * heat_of(r, "winter", "loss") <= 330.0,
            lambda r: f"{8.0 * heat_of(r, 'winter', 'loss'):.0f} W",
        ),
        HeatClaim(
            "the night of 20 to 24 needs heat without light in a room of 18",
            lambda r: celsius(r, "night", "winter_expected") < 20.0,
            lambda r: f"{celsius(r, 'night', 'winter_expected'):.0f} degC before morning in winter",
        ),
        HeatClaim(
            "with the same settings a room of 27 is too hot",
            lambda r: celsius(r, "warm-end", "summer_expected") > 29.0,
            lambda r: f"{celsius(r, 'warm-end', 'summer_expected'):.0f} degC at the warm end in summer",
        ),
    ),
)
GROUND = Story(
    "arid ground basker",
    box(
        "Dragon",
        (150, 60, 60),
        wood()
        + "  doors:\n"
        + "    - {name: left pane, face: front, kind: sliding, at: [0 cm, 8 cm], size: [75 cm, 48 cm]}\n"
        + "    - {name: right pane, face: front, kind: sliding, at: [75 cm, 8 cm], size: [75 cm, 48 cm]}\n",
        "species: Pogona vitticeps, name: dragon, snout_vent: 21 cm",
        by_day(
            """fixtures:
  - {name: tube, lamp: uv-t5-54w-strong-reflector, from: [18 cm, 25 cm, 51 cm], to: [133 cm, 25 cm, 51 cm]}
  - {name: spot, lamp: halogen-reflector-100w-25deg, at: [30 cm, 42 cm, 40 cm], aim: [30 cm, 30 cm, 5 cm]}
substrate: {depth: 5 cm, finish: sand-dry}
ledges: [{name: slab, at: [10 cm, 12 cm, 5 cm], size: [50 cm, 40 cm, 4 cm], finish: cork}]
hides: [{name: far hide, at: [112 cm, 10 cm, 5 cm], size: [32 cm, 30 cm, 16 cm], opening: right}]
"""
        ),
        room(21, 30),
    ),
    (
        Claim(
            "the patch of one 25 degree spot is smaller than the animal",
            lambda r: verdict(r, "heat-patch") != "meets",
        ),
        Claim(
            "that patch is about 13 cm across",
            lambda r: 0.10 <= number(r, "heat-patch:dragon.expected") <= 0.18,
        ),
        Claim(
            "the UV index is 4 to 5.5 at the back under the tube",
            lambda r: 4.0 <= number(r, "ledge:dragon:slab:uvi.expected") <= 6.0,
        ),
        Claim(
            "that is the top of what is wanted: within reach too much",
            lambda r: verdict(r, "uv-ceiling") in ("over", "unknown"),
        ),
        Claim("none gets into the far hide", lambda r: verdict(r, "uv-retreat") == "meets"),
    ),
    (
        HeatClaim(
            "154 W lift the air by 10 K on average, on about 15 W/K",
            lambda r: 7.0 <= heat_of(r, "winter", "rise") <= 13.0,
            lambda r: f"{heat_of(r, 'winter', 'rise'):.1f} K, {heat_of(r, 'winter', 'loss'):.0f} W/K",
        ),
        HeatClaim(
            "27 at the cool end in a room of 21",
            lambda r: 24.0 <= celsius(r, "cool-end", "winter_expected") <= 30.0,
            lambda r: f"{celsius(r, 'cool-end', 'winter_expected'):.0f} degC at the cool end",
            "level layers have no cool side: what keepers read apart at two ends is here one height",
        ),
        HeatClaim(
            "35 at the warm end",
            lambda r: 32.0 <= celsius(r, "warm-end", "winter_expected") <= 38.0,
            lambda r: f"{celsius(r, 'warm-end', 'winter_expected'):.0f} degC at the warm end",
            "the program tells shaded air at the animal's height, where level layers know no warm and cool side; a keeper's "
            "probe at the warm end hangs near the spot and sees the lamp",
        ),
        HeatClaim(
            "in a room of 30 no cool end is left",
            lambda r: celsius(r, "cool-end", "summer_expected") > 30.0 and state_of(r, "cool-end") == "over",
            lambda r: f"{celsius(r, 'cool-end', 'summer_expected'):.0f} degC at the cool end",
        ),
        HeatClaim(
            "the cure is never a bigger lamp",
            lambda r: (
                "no lamp cures this" in next(v.advice for v in r.verdicts if v.id.startswith("cool-end"))
            ),
            lambda r: next(v.advice for v in r.verdicts if v.id.startswith("cool-end"))[:40],
        ),
    ),
)
MONTANE = Story(
    "montane chameleon in mesh",
    box(
        "Mesh",
        (60, 60, 120),
        wood(glass_front=False)
        + "  vents:\n"
        + "".join(
            f"    - {{name: {face} mesh, face: {face}, at: [1 cm, 1 cm], size: [58 cm, {58 if face == 'top' else 118} cm], mesh: aluminium-18x16}}\n"
            for face in ("left", "right", "back", "front", "top")
        ),
        "species: Trioceros jacksonii, name: chameleon, sex: male",
        by_day(
            """fixtures:
  - {name: tube, lamp: uv-t5-24w-reflector, from: [3 cm, 30 cm, 124 cm], to: [58 cm, 30 cm, 124 cm]}
  - {name: spot, lamp: halogen-reflector-50w-38deg, at: [30 cm, 40 cm, 130 cm], aim: [30 cm, 32 cm, 95 cm]}
perches: [{name: twig, path: [[0 cm, 30 cm, 92 cm], [60 cm, 30 cm, 92 cm]], diameter: [12 mm], wood: oak}]
plants:
  - {name: ficus, crown: {middle: [35 cm, 35 cm, 60 cm], radius: 20 cm, height: 50 cm}, leaf_area: 0.5 m2}
"""
        ),
        ROOM_OF_23,
    ),
    (
        Claim(
            "it hangs from the roof mesh, and UV is judged there",
            lambda r: (
                number(r, "reach:chameleon:uvi.expected") > 2 * number(r, "perch:chameleon:twig:uvi.expected")
            ),
        ),
        Claim("with a tube on the mesh that is too much", lambda r: verdict(r, "uv-ceiling") == "over"),
        Claim("no lay box for its female", None),
    ),
    (
        HeatClaim(
            "the night is too warm, and no lamp or mist cures it",
            lambda r: state_of(r, "night") == "over" and celsius(r, "night", "winter_expected") > 20.0,
            lambda r: f"{celsius(r, 'night', 'winter_expected'):.0f} degC by night, {state_of(r, 'night')}",
        ),
        HeatClaim(
            "mesh on all sides keeps the air at the room's",
            lambda r: heat_of(r, "winter", "rise") < 2.0,
            lambda r: f"{heat_of(r, 'winter', 'rise'):.1f} K above the room",
        ),
    ),
)
NOCTURNAL = Story(
    "nocturnal gecko under a mesh lid",
    box(
        "Gecko",
        (45, 45, 60),
        GLASS
        + "  vents: [{name: lid, face: top, at: [1 cm, 1 cm], size: [43 cm, 43 cm], mesh: aluminium-18x16}]\n",
        "species: Correlophus ciliatus, name: gecko",
        by_day(
            """fixtures:
  - {name: tube, lamp: uv-t5-24w-reflector, from: [-5 cm, 22 cm, 61 cm], to: [50 cm, 22 cm, 61 cm]}
perches: [{name: twig, path: [[0 cm, 22 cm, 27 cm], [45 cm, 22 cm, 27 cm]], diameter: [20 mm], wood: oak}]
"""
        ),
        room(20, 30),
    ),
    (
        Claim(
            "7 to 13 under the lid",
            lambda r: 7.0 <= number(r, "reach:gecko:uvi.expected") <= 13.0,
            "the program judges what comes within 1 cm of the lid, 2 cm from the tube's axis, and calls it rough; practice "
            "speaks of a back 4 cm away",
        ),
        Claim("too strong where it can hang", lambda r: verdict(r, "uv-ceiling") == "over"),
        Claim(
            "0.7 to 1.4 on the perch 30 cm down",
            lambda r: 0.7 <= number(r, "perch:gecko:twig:uvi.expected") <= 1.9,
        ),
        Claim("no basking is asked for", lambda r: verdict(r, "heat-patch") == ""),
        Claim("the tube is longer than the lid", None),
    ),
    (
        HeatClaim(
            "30 degrees in the room is an alarm, and only the room cures it",
            lambda r: state_of(r, "cool-end") == "over" and celsius(r, "cool-end", "summer_expected") > 29.0,
            lambda r: f"{celsius(r, 'cool-end', 'summer_expected'):.0f} degC at the coolest place",
        ),
    ),
)
FROGS = Story(
    "tree frogs",
    box(
        "Frogs",
        (60, 60, 90),
        GLASS
        + "  vents: [{name: lid, face: top, at: [1 cm, 1 cm], size: [58 cm, 58 cm], mesh: aluminium-18x16}]\n",
        "species: Ranoidea caerulea, name: frog, count: 4",
        by_day(
            """fixtures:
  - {name: lamp inside, lamp: halogen-reflector-50w-38deg, at: [30 cm, 40 cm, 84 cm], aim: [30 cm, 30 cm, 40 cm]}
perches: [{name: branch, path: [[0 cm, 30 cm, 40 cm], [60 cm, 30 cm, 45 cm]], diameter: [4 cm], wood: oak}]
"""
        ),
        room(22, 25, 5),
    ),
    (
        Claim(
            "a lamp inside has to be caged: they stick to everything",
            lambda r: verdict(r, "lamp-guard") == "short",
        ),
        Claim(
            "the program says that no lamp gives UV",
            lambda r: any("no lamp of the plan gives any UV" in x for x in r.not_checked),
        ),
    ),
    (
        HeatClaim(
            "the night is too cold by 1 to 5 K",
            lambda r: 14.0 <= celsius(r, "night", "winter_expected") <= 18.5,
            lambda r: f"{celsius(r, 'night', 'winter_expected'):.1f} degC where 18 to 22 is wanted",
        ),
    ),
)
TORTOISE = Story(
    "tortoise table",
    box(
        "Table",
        (180, 90, 60),
        wood(glass_front=False)
        + "  vents: [{name: open top, face: top, at: [1 cm, 1 cm], size: [178 cm, 88 cm], mesh: hardware-quarter-inch}]\n",
        "species: Testudo hermanni, name: tortoise, snout_vent: 12 cm, mass: 400 g",
        by_day(
            """fixtures:
  - {name: tube, lamp: uv-t5-54w-strong-reflector, from: [10 cm, 40 cm, 51 cm], to: [125 cm, 40 cm, 51 cm]}
  - {name: flood, lamp: halogen-reflector-100w-38deg, at: [50 cm, 55 cm, 52 cm], aim: [50 cm, 45 cm, 12 cm]}
substrate: {depth: 12 cm, finish: soil-humus}
"""
        ),
        room(19, 25),
    ),
    (
        Claim(
            "3 to 5 at the top of the shell is wanted and can be had",
            lambda r: verdict(r, "uv-floor") in ("meets", "unknown"),
        ),
        Claim(
            "at the top of the shell there are 3 to 6",
            lambda r: 3.0 <= number(r, "ground:tortoise:ground:uvi.expected") <= 6.5,
        ),
        Claim("it does not reach the lamps", lambda r: verdict(r, "lamp-guard") == "meets"),
        Claim("the floor bears 200 to 300 kg of soil", None),
        Claim("1.62 m2 fails a rule of 2 m2 where it applies", None),
    ),
    (
        HeatClaim(
            "the air of an open table stays within 1 to 2 K of the room",
            lambda r: heat_of(r, "winter", "rise") <= 2.5,
            lambda r: f"{heat_of(r, 'winter', 'rise'):.1f} K above the room on average",
        ),
        HeatClaim(
            "it is judged on the surface, and the lamp on its chain is what is moved",
            lambda r: "the lamp" in next(v.advice for v in r.verdicts if v.id.startswith("basking-spot")),
            lambda r: (
                f"{celsius(r, 'basking-spot', 'winter_expected'):.0f} degC in winter, "
                f"{celsius(r, 'basking-spot', 'summer_expected'):.0f} in summer"
            ),
        ),
    ),
)
DART_FROGS = Story(
    "dart frogs under a glass lid",
    box(
        "Dart frogs",
        (90, 45, 60),
        GLASS,
        "species: Dendrobates tinctorius, name: frog, count: 4",
        by_day(
            """fixtures:
  - {name: panel, lamp: led-bar-40w-120cm, from: [-15 cm, 22 cm, 63 cm], to: [105 cm, 22 cm, 63 cm]}
  - {name: uv, lamp: uv-t5-39w-reflector, from: [2.5 cm, 30 cm, 64 cm], to: [87.5 cm, 30 cm, 64 cm]}
substrate: {depth: 8 cm, finish: soil-humus}
"""
        ),
        room(21, 25),
    ),
    (
        Claim("UV under glass is none, and said so", lambda r: verdict(r, "uv-arrives") == "short"),
        Claim("no basking is asked for", lambda r: verdict(r, "heat-patch") == ""),
        Claim("flies need mesh of 0.5 mm", None),
    ),
    (
        HeatClaim(
            "45 W on a glass lid lift the air by 3.5 K on 7.7 W/K",
            lambda r: 2.0 <= heat_of(r, "summer", "rise") <= 5.0,
            lambda r: f"{heat_of(r, 'summer', 'rise'):.1f} K, {heat_of(r, 'summer', 'kept'):.0f} W stay",
            "a bar of 40 W and a tube of 39 W hang here in place of one panel of 45 W, both longer than the lid and 3 cm over "
            "it; the heat of a lamp beside the lid that is not radiated is taken to stay outside, where a lamp that lies on "
            "the glass warms it",
        ),
        HeatClaim(
            "a room of 25 in summer is too warm for them",
            lambda r: state_of(r, "cool-end") in ("over", "unknown"),
            lambda r: (
                f"{celsius(r, 'cool-end', 'summer_expected'):.0f} degC at the coolest place: {state_of(r, 'cool-end')}"
            ),
        ),
    ),
)
SNAKE = Story(
    "a large snake that is not in the library",
    box(
        "Boa",
        (240, 90, 120),
        wood(),
        "species: Boa imperator, profile: blank, family: Boidae, snout_vent: 220 cm, mass: 7 kg, name: boa",
        """fixtures:
  - {name: heater, lamp: ceramic-heater-150w, at: [60 cm, 45 cm, 112 cm], aim: [60 cm, 45 cm, 0 cm]}
ledges: [{name: shelf, at: [20 cm, 45 cm, 60 cm], size: [200 cm, 40 cm, 3 cm], finish: plywood-sealed}]
""",
        room(19, 26, 2),
    ),
    (
        Claim("it is an unknown animal", lambda r: verdict(r, "profile") == "unknown"),
        Claim(
            "family values are marked as such, and no neighbour stands in",
            lambda r: (
                any("of its family, Boidae" in v.sentence for v in r.verdicts) and not verdict(r, "uv-floor")
            ),
        ),
        Claim("a guard is demanded", lambda r: verdict(r, "lamp-guard") == "short"),
        Claim("a rule of 1997 asks for more depth", None),
        Claim("panes are locked, gaps below 10 mm", None),
    ),
    (
        HeatClaim(
            "an unknown animal gets no verdict on temperatures from a neighbour",
            lambda r: not any(v.id.startswith(("warm-end", "night", "basking-spot")) for v in r.verdicts),
            lambda r: f"{len(r.verdicts)} verdicts",
        ),
    ),
)
JUVENILES = Story(
    "hatchlings in the adults' box",
    box(
        "Day geckos",
        (60, 45, 90),
        GLASS
        + "  vents: [{name: lid, face: top, at: [1 cm, 1 cm], size: [58 cm, 43 cm], mesh: aluminium-18x16}]\n",
        "species: Phelsuma grandis, name: hatchling, count: 6, stage: hatchling, snout_vent: 3 cm, mass: 3 g",
        by_day(
            """fixtures:
  - {name: tube, lamp: uv-t5-24w-reflector, from: [2.5 cm, 22 cm, 94 cm], to: [57.5 cm, 22 cm, 94 cm]}
  - {name: spot, lamp: halogen-reflector-50w-38deg, at: [30 cm, 30 cm, 100 cm], aim: [30 cm, 24 cm, 60 cm]}
perches: [{name: bamboo, path: [[0 cm, 22 cm, 62 cm], [60 cm, 22 cm, 62 cm]], diameter: [3 cm], wood: oak}]
"""
        ),
    ),
    (
        Claim("UV at the lid is too strong for them", lambda r: verdict(r, "uv-ceiling") == "over"),
        Claim("gaps, feeders and adults make it a no", None),
        Claim(
            "at a spot of 45 degrees it warms from 26 to 35 in 4 minutes",
            lambda _: 2.0 <= hatchling_minutes() <= 8.0,
        ),
    ),
)
RETROFIT = Story(
    "a box that is too hot",
    box(
        "Corn snake",
        (120, 60, 60),
        wood(),
        "species: Pantherophis guttatus, name: snake",
        """fixtures:
  - {name: halogen, lamp: halogen-reflector-75w-38deg, at: [30 cm, 30 cm, 52 cm], aim: [30 cm, 30 cm, 0 cm], hours: ["08:00", "20:00"]}
  - {name: ceramic, lamp: ceramic-heater-100w, at: [45 cm, 30 cm, 52 cm], aim: [45 cm, 30 cm, 0 cm]}
  - {name: tube, lamp: uv-t5-24w-reflector, from: [60 cm, 20 cm, 55 cm], to: [115 cm, 20 cm, 55 cm], hours: ["08:00", "20:00"]}
""",
        ROOM_OF_24,
    ),
    (
        Claim("guards and a burn check", lambda r: verdict(r, "lamp-guard") == "short"),
        Claim(
            "a thermostat with cut-out is missing",
            lambda r: any(
                "a thermostat with cut-out: none is stated for halogen" in x for x in r.not_checked
            ),
        ),
        Claim(
            "some lamp is on day and night",
            lambda r: any("is lit: no hours are stated" in x or "dark hours" in x for x in r.not_checked),
        ),
    ),
    (
        HeatClaim(
            "no place is cool enough: move the animal today",
            lambda r: state_of(r, "cool-end") == "over" and celsius(r, "cool-end", "winter_expected") > 30.0,
            lambda r: f"{celsius(r, 'cool-end', 'winter_expected'):.0f} degC at the coolest place",
        ),
        HeatClaim(
            "199 W on 11 to 13 W/K are 15 to 18 K; read were 15.5 on average",
            lambda r: 11.0 <= heat_of(r, "winter", "rise") <= 20.0,
            lambda r: f"{heat_of(r, 'winter', 'rise'):.1f} K, {heat_of(r, 'winter', 'loss'):.0f} W/K",
        ),
    ),
)
STORIES = (ARBOREAL, GROUND, MONTANE, NOCTURNAL, FROGS, TORTOISE, DART_FROGS, SNAKE, JUVENILES, RETROFIT)
