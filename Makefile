# make demo     carries the demo lots along the whole way; its files are in out/demo
# make test     all tests
# make check    style, types, and who may import whom
# make bench    speed as ratios, written to benchmarks/RESULTS.md and benchmarks/results.json
# make labels   writes docs/labels.md anew
# make pictures writes docs/pictures anew, from the demo
# make hooks    runs the quick checks before every commit
# Every command sets up .venv by itself; all it needs is Python 3.11 or newer.

PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
READY := $(VENV)/ready

.PHONY: demo test check bench labels pictures hooks clean

demo: $(READY)
	$(BIN)/haywright demo out/demo

test: $(READY)
	@tools/system
	$(BIN)/python -m pytest -q -n 2 --maxschedchunk=1 --durations=15

check: $(READY)
	$(BIN)/ruff check
	$(BIN)/ruff format --check
	$(BIN)/lint-imports
	$(BIN)/mypy

bench: $(READY)
	$(BIN)/python -m benchmarks.run

labels: $(READY)
	$(BIN)/python -m tools.labels

pictures: $(READY)
	$(BIN)/python -m tools.pictures

hooks: $(READY)
	git config core.hooksPath .hooks

clean:
	rm -rf $(VENV) out

# The second run is quick: the stamps are newer than what they were made from.
$(READY): $(VENV)/locked pyproject.toml
	$(BIN)/python -m pip install --quiet --no-deps --no-build-isolation --no-index --editable .
	@touch $@

$(VENV)/locked: requirements-dev.lock
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || \
	  { echo "Python 3.11 or newer is needed; name it: make PYTHON=python3.11 ..."; exit 1; }
	@echo "Setting up .venv (once)"
	@test -x $(BIN)/python || $(PYTHON) -m venv $(VENV)
	$(BIN)/python -m pip install --quiet --require-hashes -r requirements-dev.lock
	@touch $@
