"""Reading a job file: a good one, and every kind of fault with its line and key."""

import hashlib
import os
from pathlib import Path

import pytest

from brazesoak.errors import Fault, InputError, JobFileError
from brazesoak.jobfile.read import LARGEST_FILE, job_from_tables, read_job, read_job_text

# The complete example of the job-file format; sizes and names are invented for the example.
COMPLETE = """\
title = "Bearing pedestal"
fidelity = "network"
[furnace]
name = "ideal"
film = "7 W/(m2 K)"
power = "2.5 kW"
wall_emissivity = 0.75
price_per_kwh = 0.4
sensor_time_constant = "30 s"
loss_conductance = "3 W/K"
heat_capacity = "20 kJ/K"
uniformity = "10 K"
room = "68 degF"
control = { mode = "pid", band = "36 degF", integral_time = "6 min", holdback = "15 K", sensor_offset = "-2 K" }
[program]
set_point = "730 degC"
ramp = "8 K/min"
loading = "hot"
start = "25 degC"
steps = [ { to = "520 degC", ramp = "300 degC/h", hold = "20 min" }, { to = "600 degC" } ]
[hold]
superheat = "54 degF"
time = "6 min"
open_below = "500 degC"
[brazing]
filler = "BAg-7"
flux = "FB3-C"
gap = "0.1 mm"
[[segment]]
name = "boss"
metal = "brass-c36000"
surface = "bright"
shape = "boss"
diameter = "60 mm"
height = "55 mm"
[[segment]]
name = "plate"
metal = "carbon-steel"
surface = 0.8
shape = "plate"
length = "120 mm"
width = "90 mm"
thickness = "0.25 in"
[[joint]]
name = "boss to plate"
between = ["boss", "plate"]
fit = "flat"
faces = ["end", "face"]
area = "12 cm2"
gap = "0.2 mm"
filler = "BAg-24"
flux = "FB3-A"
"""

SHORT = """\
title = "t"
[furnace]
name = "ideal"
[brazing]
filler = "BAg-7"
flux = "FB3-C"
gap = "0.1 mm"
[[segment]]
name = "a"
metal = "m"
surface = "bright"
shape = "tube"
outer_diameter = "60 mm"
inner_diameter = "40 mm"
length = "55 mm"
[[segment]]
name = "b"
metal = "m"
surface = "oxidised"
shape = "lump"
mass = "1 kg"
exposed_area = "200 cm2"
thickest_section = "20 mm"
[[joint]]
name = "j"
between = ["a", "b"]
area = "5 cm2"
"""


def faults_of(text: str) -> list[Fault]:
    with pytest.raises(JobFileError) as caught:
        read_job_text(text)
    return list(caught.value.faults)


def test_complete_job_in_si() -> None:
    job = read_job_text(COMPLETE).job
    assert (job.title, job.fidelity, job.data) == ("Bearing pedestal", "network", ())
    furnace = job.furnace
    assert furnace.model_dump() == {
        "name": "ideal",
        "film": pytest.approx(7.0),
        "power": pytest.approx(2500.0),
        "wall_emissivity": 0.75,
        "price_per_kwh": pytest.approx(0.4 / 3.6e6),
        "sensor_time_constant": pytest.approx(30.0),
        "loss_conductance": pytest.approx(3.0),
        "heat_capacity": pytest.approx(20000.0),
        "uniformity": pytest.approx(10.0),
        "room": pytest.approx(293.15),
        "support": None,
        "thermocouple": "K class 2",
        "control": {
            "mode": "pid",
            "band": pytest.approx(20.0),
            "integral_time": pytest.approx(360.0),
            "derivative_time": None,
            "hysteresis": None,
            "holdback": pytest.approx(15.0),
            "sensor_place": None,
            "sensor_offset": pytest.approx(-2.0),
            "control_on": "furnace",
            "clock_band": None,
        },
    }
    assert job.program.set_point == pytest.approx(1003.15)
    assert job.program.ramp == pytest.approx(8 / 60)
    assert (job.program.loading, job.program.start) == ("hot", pytest.approx(298.15))
    first, second = job.program.steps
    assert (first.to, first.ramp, first.hold) == pytest.approx((793.15, 300 / 3600, 1200.0))
    assert (second.ramp, second.hold) == (None, 0.0)
    assert (job.hold.superheat, job.hold.time, job.hold.open_below) == pytest.approx((30.0, 360.0, 773.15))
    assert (job.brazing.filler, job.brazing.flux, job.brazing.gap) == ("BAg-7", "FB3-C", pytest.approx(1e-4))
    boss, plate = job.segments
    assert (boss.shape, boss.diameter, boss.height) == ("boss", pytest.approx(0.06), pytest.approx(0.055))
    assert (plate.shape, plate.surface, plate.thickness) == ("plate", 0.8, pytest.approx(0.00635))
    (joint,) = job.joints
    assert (joint.between, joint.fit, joint.faces) == (("boss", "plate"), "flat", ("end", "face"))
    assert (joint.area, joint.gap) == pytest.approx((0.0012, 2e-4))
    assert (joint.filler, joint.flux, joint.depth) == ("BAg-24", "FB3-A", None)


def test_defaults_and_that_they_can_be_told_from_what_was_written() -> None:
    job = read_job_text(SHORT).job
    assert (job.fidelity, job.program.loading, job.program.set_point, job.program.ramp) == (
        "auto",
        "cold",
        None,
        None,
    )
    assert job.program.start is None
    assert job.furnace.room == pytest.approx(293.15)
    assert (job.hold.superheat, job.hold.time, job.hold.open_below) == (
        pytest.approx(30.0),
        pytest.approx(300.0),
        None,
    )
    assert job.program.model_fields_set == set()
    assert job.furnace.model_fields_set == {"name"}


def test_lines_hash_and_folders(tmp_path: Path) -> None:
    (tmp_path / "mine").mkdir()
    path = tmp_path / "job.toml"
    text = SHORT.replace('title = "t"', 'title = "t"\ndata = ["mine"]').replace("\n", "\r\n")
    path.write_bytes(b"\xef\xbb\xbf" + text.encode())  # as some editors on Windows write it
    read = read_job(path)
    assert (read.path, read.text) == (path, text)
    assert read.hash == hashlib.sha256(text.encode()).hexdigest()
    assert read.data_folders == (tmp_path / "mine",)
    assert read.line_of('segment "b".mass') == 22
    assert read.line_of(("joint", 0, "filler")) == 25  # not written: the joint's own line
    assert read.fault(("segment", "b", "metal"), "unknown") == Fault(19, 'segment "b".metal', "unknown")
    assert read.error(read.fault("joint[1].name", "x"), read.fault("title", "y")).faults[0].key == "title"


# What replaces what in SHORT; line and key of the one fault; a piece of the message.
SINGLE_FAULTS = [
    ('title = "t"', "", None, "title", "missing"),
    ('title = "t"', "title = 3", 1, "title", "double quotes"),
    ('title = "t"', 'title = " "', 1, "title", "empty"),
    ('title = "t"', 'title = "a\\nb"', 1, "title", "line break"),
    ('title = "t"', f'title = "{"x" * 90}"', 1, "title", "too long"),
    ('title = "t"', 'title = "t"\ntitel = "u"', 2, "titel", 'did you mean "title"'),
    ('title = "t"', 'title = "t"\nset_point = "1 K"', 2, "set_point", "[program]"),
    ('title = "t"', 'title = "t"\nxyz = [[[{}]]]', 2, "xyz", "the keys here are title"),
    ('title = "t"', 'title = "t"\nfidelity = "aut"', 2, "fidelity", 'did you mean "auto"'),
    ('title = "t"', 'title = "t"\nfidelity = 1', 2, "fidelity", '"network"'),
    ('name = "ideal"', 'name = "ideal"\nsupport = "prop"', 4, "furnace.support", 'did you mean "props"'),
    ('name = "ideal"', 'name = "ideal"\ncontrol = "pid"', 4, "furnace.control", "write [furnace.control]"),
    ('name = "ideal"', 'name = "ideal"\nsupport = 1', 4, "furnace.support", 'one of "shelf", "props", "none"'),
    ('title = "t"', 'title = "t"\ndata = "x"', 2, "data", '["my_data"]'),
    ('title = "t"', 'title = "t"\ndata = ["not there"]', 2, "data[1]", "no folder"),
    ('title = "t"', 'title = "t"\nprogram = "fast"', 2, "program", "[program]"),
    ('title = "t"', 'title = "t"\nhold = ["5 min"]', 2, "hold", "[hold]"),
    ('[furnace]\nname = "ideal"', "", None, "furnace", 'name = "ideal"'),
    ('name = "ideal"', "", 2, "furnace.name", "missing"),
    ('name = "ideal"', 'name = "ideal"\nfilm = "7"', 4, "furnace.film", "has no unit"),
    ('name = "ideal"', 'name = "ideal"\nfilm = "-7 W/m2/K"', 4, "furnace.film", "at least 0"),
    ('name = "ideal"', 'name = "ideal"\npower = "0 W"', 4, "furnace.power", "greater than 0 W"),
    ('name = "ideal"', 'name = "ideal"\npower = "9 W/K"', 4, "furnace.power", "is a conductance"),
    ('name = "ideal"', 'name = "ideal"\nprice_per_kwh = -0.3', 4, "furnace.price_per_kwh", "a number from 0"),
    ('name = "ideal"', 'name = "ideal"\nwall_emissivity = 1.2', 4, "furnace.wall_emissivity", "0.02 to 1"),
    (
        'name = "ideal"',
        'name = "ideal"\nwall_emissivity = "0.7"',
        4,
        "furnace.wall_emissivity",
        "without quotes",
    ),
    ('name = "ideal"', 'name = "ideal"\nwall_emissivity = nan', 4, "furnace.wall_emissivity", "0.02 to 1"),
    ('name = "ideal"', 'name = "ideal"\nwall_emissivity = true', 4, "furnace.wall_emissivity", "0.02 to 1"),
    (
        'name = "ideal"',
        f'name = "ideal"\nwall_emissivity = 0x{"f" * 9000}',
        4,
        "furnace.wall_emissivity",
        "0.02",
    ),
    ('name = "ideal"', f'name = "ideal"\nroom = 0x{"f" * 9000}', 4, "furnace.room", "has no unit"),
    ('name = "ideal"', 'name = "ideal"\nroom = 2026-11-25', 4, "furnace.room", "not a temperature"),
    ('name = "ideal"', 'name = "ideal"\nfiller = "x"', 4, "furnace.filler", 'did you mean "film"'),
    (
        "[brazing]",
        '[program]\nset_point = "3000 degC"\n[brazing]',
        5,
        "program.set_point",
        "at most 1800 degC",
    ),
    ("[brazing]", '[program]\nset_point = "-300 degC"\n[brazing]', 5, "program.set_point", "absolute zero"),
    ("[brazing]", "[program]\nset_point = 730\n[brazing]", 5, "program.set_point", '"730 degC"'),
    ("[brazing]", '[program]\nramp = "8 K"\n[brazing]', 5, "program.ramp", "is a temperature"),
    ("[brazing]", '[program]\nramp = "-8 K/min"\n[brazing]', 5, "program.ramp", "greater than"),
    ("[brazing]", '[program]\nloading = "warm"\n[brazing]', 5, "program.loading", '"cold", "hot"'),
    ("[brazing]", "[program]\nsteps = [\n 3 ]\n[brazing]", 6, "program.steps[1]", "a table is needed"),
    ("[brazing]", '[program]\nsteps = [{hold = "1 min"}]\n[brazing]', 5, "program.steps[1].to", "missing"),
    (
        "[brazing]",
        '[program]\nsteps = [{to="9 degC",\thod="1 s"}]\n[brazing]',
        5,
        "program.steps[1].hod",
        '"hold"',
    ),
    ("[brazing]", '[hold]\nsuperheat = "750 degC"\n[brazing]', 5, "hold.superheat", "at most 300 K"),
    ("[brazing]", '[hold]\nminutes = "5 min"\n[brazing]', 5, "hold.minutes", "time"),
    ("[brazing]", '[hold]\ntime = "-5 min"\n[brazing]', 5, "hold.time", "at least 0 s"),
    ('gap = "0.1 mm"', 'gap = "10 cm"', 7, "brazing.gap", "at most 10 mm"),
    ('gap = "0.1 mm"', 'gap = "0.1 um"', 7, "brazing.gap", 'write gap = "0.01 mm" for parts that touch'),
    ('gap = "0.1 mm"', 'gap = "0 mm"', 7, "brazing.gap", 'write gap = "0.01 mm" for parts that touch'),
    ('gap = "0.1 mm"', "", 24, 'joint "j".gap', "[brazing]"),
    ('filler = "BAg-7"', "", 24, 'joint "j".filler', "[brazing]"),
    ('flux = "FB3-C"', "", 24, 'joint "j".flux', "[brazing]"),
    ('surface = "bright"', "", 8, 'segment "a".surface', "missing"),
    ('surface = "bright"', 'surface = "oxidized"', 11, 'segment "a".surface', 'did you mean "oxidised"'),
    ('surface = "bright"', "surface = 0.01", 11, 'segment "a".surface', "0.02"),
    ('shape = "tube"', 'shape = "tub"', 12, 'segment "a".shape', 'did you mean "tube"'),
    ('shape = "tube"', "shape = [1]", 12, 'segment "a".shape', '"plate"'),
    ('shape = "tube"', "", 8, 'segment "a".shape', "missing"),
    ('length = "55 mm"', 'lenght = "55 mm"', 15, 'segment "a".lenght', 'did you mean "length"'),
    ('length = "55 mm"', 'length = "-55 mm"', 15, 'segment "a".length', "greater than 0 mm"),
    (
        'length = "55 mm"',
        'length = "55 um"',
        15,
        'segment "a".length',
        "at least 0.1 mm; check the unit",
    ),  # too thin to be a part, and slow
    ('length = "55 mm"', 'length = "55 m"', 15, 'segment "a".length', "at most 10 m"),
    ('length = "55 mm"', 'length = "55 mm2"', 15, 'segment "a".length', "is an area"),
    ('length = "55 mm"', "", 8, 'segment "a".length', 'add length = "80 mm"'),
    ('inner_diameter = "40 mm"', 'inner_diameter = "2.5 in"', 14, 'segment "a".inner_diameter', "smaller"),
    ('mass = "1 kg"', 'mass = "0 kg"', 21, 'segment "b".mass', "greater than 0 g"),
    ('"a", "b"]', '"a", "bb"]', 26, 'joint "j".between[2]', 'did you mean "b"'),
    ('["a", "b"]', '["a", "b", "a"]', 26, 'joint "j".between', '["boss", "plate"]'),
    ('["a", "b"]', '"a and b"', 26, 'joint "j".between', '["boss", "plate"]'),
    ('area = "5 cm2"', "", 24, 'joint "j".area', "lump"),
    ('area = "5 cm2"', 'area = "5 cm2"\nfit = "plug"', 24, 'joint "j".depth', "missing"),
    ('area = "5 cm2"', 'area = "5 cm2"\ndepth = "5 mm"', 28, 'joint "j".depth', '"plug"'),
    (
        'area = "5 cm2"',
        'area = "5 cm2"\nfit = "crossed"\nfaces = ["end", "end"]',
        29,
        'joint "j".faces',
        '"flat"',
    ),
    ('area = "5 cm2"', 'area = "5 cm2"\nfaces = ["end"]', 28, 'joint "j".faces', '["end", "face"]'),
    ('area = "5 cm2"', 'area = "5 cm2"\nfit = "screwed"', 28, 'joint "j".fit', '"crossed"'),
]


@pytest.mark.parametrize(("old", "new", "line", "key", "piece"), SINGLE_FAULTS)
def test_one_fault_is_reported_once_with_line_key_and_remedy(
    old: str, new: str, line: int | None, key: str, piece: str
) -> None:
    assert SHORT.count(old) == 1
    found = faults_of(SHORT.replace(old, new))
    assert [(fault.line, fault.key) for fault in found] == [(line, key)]
    assert piece in found[0].message
    assert "\n" not in found[0].message


def test_faces_that_a_shape_does_not_have() -> None:
    found = faults_of(SHORT + 'faces = ["side", "end"]\n')
    assert [(fault.line, fault.key) for fault in found] == [
        (28, 'joint "j".faces[1]'),
        (28, 'joint "j".faces[2]'),
    ]
    assert '"end"' in found[0].message
    assert "no faces" in found[1].message


def test_joint_of_a_segment_with_itself() -> None:
    found = faults_of(SHORT.replace('"a", "b"]', '"a", "a"]'))
    assert [(fault.line, fault.key) for fault in found] == [
        (8 + 8, 'segment "b"'),
        (26, 'joint "j".between'),
    ]


def test_two_segments_of_one_name() -> None:
    found = faults_of(SHORT.replace('name = "b"', 'name = "a"'))
    assert [(fault.line, fault.key) for fault in found] == [
        (17, "segment[2].name"),
        (26, 'joint "j".between[2]'),
    ]
    assert "already the name of segment 1" in found[0].message


def test_two_joints_of_one_name() -> None:
    found = faults_of(SHORT + '[[joint]]\nname = "j"\nbetween = ["a", "b"]\narea = "1 cm2"\n')
    assert [(fault.line, fault.key) for fault in found] == [(29, "joint[2].name")]


def test_segment_joined_to_nothing() -> None:
    sizes = 'shape = "boss"\ndiameter = "1 in"\nheight = "1 in"\n'
    extra = f'[[segment]]\nname = "c"\nmetal = "m"\nsurface = 1\n{sizes}'
    found = faults_of(SHORT + extra)
    assert [(fault.line, fault.key) for fault in found] == [(28, 'segment "c"')]


def test_filler_missing_everywhere_is_one_fault() -> None:
    second = '[[joint]]\nname = "k"\nbetween = ["b", "a"]\narea = "1 cm2"\n'
    found = faults_of(SHORT.replace('filler = "BAg-7"', "") + second)
    assert [(fault.line, fault.key) for fault in found] == [(4, "brazing.filler")]


@pytest.mark.parametrize(
    ("text", "keys"),
    [
        ("", {"title", "furnace", "segment", "joint"}),
        ('title = "t"\nfurnace = {name = "f"}\nsegment = []\njoint = []', {"segment", "joint"}),
        ('title = "t"\nfurnace = {name = "f"}\nsegment = 3\njoint = "x"', {"segment", "joint"}),
        ('title = "t"\n[furnace]\nname = "f"\n[segment]\n[joint]', {"segment", "joint"}),
        (
            'title = "t"\nfurnace = {name = "f"}\nsegment = [3, "x"]\njoint = [1]',
            {"segment[1]", "segment[2]", "joint[1]"},
        ),
    ],
)
def test_no_segments_or_joints(text: str, keys: set[str]) -> None:
    found = faults_of(text)
    assert {fault.key for fault in found} == keys
    assert all("[[" in fault.message for fault in found if fault.key[:5] in ("segme", "joint"))


def test_all_faults_of_a_file_at_once_in_the_order_of_the_file() -> None:
    text = (
        SHORT.replace('name = "ideal"', 'name = "ideal"\npowr = "2 kW"\nroom = "20"')
        .replace('shape = "tube"', 'shape = "box"')
        .replace('metal = "m"\nsurface = "bright"', 'surface = "shiny"')
        .replace('mass = "1 kg"', 'mass = "1 l"')
        .replace('"a", "b"]', '"a", "cup"]')
        + 'gap = "0 mm"\ncolour = "red"\n'
    )
    found = faults_of(text)
    assert [(fault.line, fault.key) for fault in found] == [
        (4, "furnace.powr"),
        (5, "furnace.room"),
        (10, 'segment "a".metal'),
        (12, 'segment "a".surface'),
        (13, 'segment "a".shape'),
        (17, 'segment "b"'),
        (22, 'segment "b".mass'),
        (27, 'joint "j".between[2]'),
        (29, 'joint "j".gap'),
        (30, 'joint "j".colour'),
    ]


def test_message_has_a_line_of_its_own_for_each_fault(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    path.write_text(SHORT.replace('mass = "1 kg"', 'mass = "-1 kg"').replace('title = "t"', "title = 1"))
    with pytest.raises(JobFileError) as caught:
        read_job(path)
    first, second = str(caught.value).split("\n")
    assert first.startswith(f"{path}:1: title: ")
    assert second.startswith(f'{path}:21: segment "b".mass: "-1 kg" ')
    assert caught.value.exit_code == 2


@pytest.mark.parametrize(
    ("text", "line", "piece"),
    [
        ('title = "t"\nlength = 60 mm\n', 2, '"60 mm"'),
        ('title = "t"\nlength = 0.25 in # thick\n', 2, '"0.25 in"'),
        ('title = "t"\nwhat is this\n', 2, "correct this line"),
        ('title = "t\n', 1, "not valid TOML"),
        ('title = "t"\n[[segment]\n', 2, "not valid TOML"),
        ('title = "t"\n[segment]\na = 1\n[segment]\n', 4, "[[segment]]"),
        ('title = "t"\ntitle = "u"\n', 2, "only once"),
        ("steps = [\n1,\n", 3, "not valid TOML"),
        ("\x00", 1, "not valid TOML"),
        (f"a = {'9' * 5000}", None, "not valid TOML"),
        (f"a = {'[' * 30000}", None, "nested too deeply"),
    ],
)
def test_broken_toml(text: str, line: int | None, piece: str) -> None:
    (fault,) = faults_of(text)
    assert (fault.line, fault.key) == (line, "")
    assert piece in fault.message


def test_deeply_nested_but_valid_toml_is_a_fault_like_any_other() -> None:
    found = faults_of(f"deep = {'[' * 300}{']' * 300}\na.{'.'.join('b' * 500)} = 1\n" + SHORT)
    assert [(fault.line, fault.key) for fault in found] == [(None, "a"), (1, "deep")]


def test_unreadable_files(tmp_path: Path) -> None:
    wide = tmp_path / "wide.toml"
    wide.write_bytes("title = 'x'\n".encode("utf-16"))
    large = tmp_path / "large.toml"
    large.write_bytes(b"#" * (LARGEST_FILE + 1))
    latin = tmp_path / "latin.toml"
    latin.write_bytes(b"title = 't'\nroom = '20 \xb0C'\n")
    cases = {
        tmp_path / "none.toml": (None, "no such file"),
        tmp_path: (None, "folder"),
        tmp_path / ("x" * 5000): (None, "cannot be read"),
        Path("a\0b"): (None, "cannot be read"),
        wide / "job.toml": (None, "cannot be read"),
        wide: (1, "UTF-8"),
        latin: (2, "UTF-8"),
        large: (None, "larger than"),
    }
    for path, (line, piece) in cases.items():
        with pytest.raises(JobFileError) as caught:
            read_job(path)
        (fault,) = caught.value.faults
        assert (fault.line, fault.key) == (line, "")
        assert piece in fault.message
        assert isinstance(caught.value, InputError)


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="the superuser may read everything")
def test_file_without_permission(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    path.write_text(SHORT)
    path.chmod(0)
    with pytest.raises(JobFileError, match="permissions"):
        read_job(path)


def test_job_from_tables_of_a_script() -> None:
    tables = {
        "title": "t",
        "furnace": {"name": "ideal"},
        "brazing": {"filler": "BAg-7", "flux": "FB3-C", "gap": "0.1 mm"},
        "segment": [
            {"name": n, "metal": "m", "surface": 0.5, "shape": "boss", "diameter": "1 in", "height": "1 in"}
            for n in ("a", "b")
        ],
        "joint": [{"name": "j", "between": ["a", "b"]}],
    }
    assert job_from_tables(tables).joints[0].between == ("a", "b")
    tables["joint"] = [{"name": "j", "between": ["a", "zzz"]}]
    with pytest.raises(JobFileError) as caught:
        job_from_tables(tables)
    assert [(f.line, f.key) for f in caught.value.faults] == [
        (None, 'joint "j".between[2]'),
        (None, 'segment "b"'),
    ]
