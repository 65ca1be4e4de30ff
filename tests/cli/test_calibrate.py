"""`stillroom media calibrate`, as a supplier's specialist calls it."""

from __future__ import annotations

from pathlib import Path

from click.testing import CliRunner

from stillroom import media
from stillroom.cli.commands.media import command

CERTIFICATE = """
cas = "7664-41-7"
inlet_ppm = 50
relative_humidity = 0.5
temperature_C = 23
flow_L_min = 20
mass_g = 100
area_cm2 = 20
ends_at = 0.05
held_g = 2.9
uncertainty_percent = 10
standard = "ISO 10121-1"
laboratory = "invented"
date = 2026-03-01
"""


def test_a_file_is_written_that_serves_as_a_medium(tmp_path: Path):
    (tmp_path / "one.toml").write_text(CERTIFICATE)
    out = tmp_path / "ours.toml"
    done = CliRunner().invoke(
        command, ["calibrate", "impregnated-ammonia", str(tmp_path / "one.toml"), "--out", str(out)]
    )
    assert done.exit_code == 0, done.output
    assert "capacity for ammonia 0.01–0.025–0.067 →" in done.output
    medium = media.load(out)
    assert medium.version == "1-calibrated"
    assert "ISO 10121-1" in medium.impregnations[0].capacity.note
    assert medium.micropore_volume.p50 == media.load("impregnated-ammonia").micropore_volume.p50


def test_a_contradiction_names_the_certificate_and_writes_nothing(tmp_path: Path):
    (tmp_path / "two.toml").write_text(CERTIFICATE.replace("held_g = 2.9", "held_g = 2900"))
    out = tmp_path / "ours.toml"
    done = CliRunner().invoke(
        command, ["calibrate", "impregnated-ammonia", str(tmp_path / "two.toml"), "--out", str(out)]
    )
    assert done.exit_code != 0
    assert "two.toml" in str(done.exception)
    assert not out.exists()


def test_a_fitted_medium_takes_what_adsorbs_as_a_point(tmp_path: Path):
    points = tmp_path / "points.csv"
    points.write_text(
        "cas,temperature_K,partial_pressure_Pa,loading_g_per_g\n"
        + "".join(f"108-88-3,298.15,{p},{q}\n" for p, q in ((1, 0.15), (10, 0.24), (100, 0.32), (1000, 0.38)))
    )
    fitted = tmp_path / "fitted.toml"
    run = CliRunner().invoke
    assert run(command, ["fit", str(points), "--name", "ours", "--out", str(fitted)]).exit_code == 0
    (tmp_path / "three.toml").write_text(CERTIFICATE.replace("7664-41-7", "108-88-3"))
    done = run(
        command, ["calibrate", str(fitted), str(tmp_path / "three.toml"), "--out", str(tmp_path / "n")]
    )
    assert done.exit_code != 0
    assert "fit again" in str(done.exception)
