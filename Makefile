# Each target does its own set-up in .venv.
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
STAMP := $(VENV)/.installed

.PHONY: install demo test serve check scorecard bench docs lock clean

install: $(STAMP)

$(STAMP): requirements.lock pyproject.toml
	test -x $(BIN)/python || $(PYTHON) -m venv $(VENV)
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes --only-binary :all: --no-binary psychrolib,pyiast -r requirements.lock
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --no-deps --no-build-isolation -e .
	touch $(STAMP)

demo: install
	$(BIN)/stillroom demo --out out

test: install
	$(BIN)/python -m pytest -n 2 --dist loadfile --no-loadscope-reorder

serve: install
	$(BIN)/stillroom serve

check: install
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/lint-imports
	$(BIN)/mypy

scorecard: install
	@test -n "$(STILLROOM_REFERENCE)" || { echo "scorecard: set STILLROOM_REFERENCE to the folder of published data"; exit 2; }
	$(BIN)/python -m tools.scorecard
	$(BIN)/python -m pytest -rA -q tests/media tests/bed tests/emission tests/room tests/cabinet tests/substances tests/segregation tests/monitoring

bench: install
	$(BIN)/python -m benchmarks

docs: install
	$(BIN)/python -m pytest tests/docs

lock:
	uv pip compile pyproject.toml --extra dev --universal --python-version 3.11 --generate-hashes --no-header -o requirements.lock

clean:
	rm -rf $(VENV) out build dist
