"""``stillroom savings``."""

import json

from click.testing import CliRunner

from stillroom.cli.commands.savings import command
from stillroom.economics import load_case, savings


def test_prints_what_is_saved_and_the_assumptions():
    answer = CliRunner().invoke(command, ["examples/savings/hot-humid.toml"])
    assert answer.exit_code == 0
    assert "SAVED" in answer.output
    assert "invented data" in answer.output
    assert "700 m³/h for 8760 h" in answer.output


def test_json_is_the_computed_answer():
    import numpy as np

    answer = CliRunner().invoke(command, ["examples/savings/hot-humid.toml", "--json"])
    given = json.loads(answer.output)
    computed = savings(load_case("examples/savings/hot-humid.toml"))
    assert given["saved_per_year"]["p50"] == float(np.median(computed.saved))
    assert given["currency"] == "MYR"
