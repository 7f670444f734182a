# make demo   set up (once) and run the main job on the demo car
# make test   set up (once) and run every test
# make check  style, types and import contracts
# make bench  speed and quality, side by side with a reference
# make chaos  300 rounds of killed browsers, killed servers, cut wires and wrong clocks, counted
# make lock   write the lists of dependency versions anew (needs uv)

PYTHON ?= $(shell command -v python3.11 || command -v python3)
VENV := .venv
BIN := $(VENV)/bin
PIP := $(BIN)/python -m pip install --quiet --disable-pip-version-check

.PHONY: demo test check bench chaos lock clean

demo: $(VENV)/ready-to-run
	@$(BIN)/putback demo

test: $(VENV)/ready-to-test
	@bash .ci/machine.sh
	$(BIN)/python -m pytest --numprocesses auto --dist worksteal

check: $(VENV)/ready-to-test
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/lint-imports

bench: $(VENV)/ready-to-test
	$(BIN)/python -m benchmarks

chaos: $(VENV)/ready-to-test
	@bash .ci/machine.sh
	PUTBACK_CHAOS_ROUNDS=$${PUTBACK_CHAOS_ROUNDS:-300} $(BIN)/python -m pytest tests/chaos

$(BIN)/python:
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || \
		{ echo "putback needs Python 3.11 or newer; name one: make PYTHON=/path/to/python3.11 demo"; exit 1; }
	@$(PYTHON) -c 'import ensurepip, venv' 2>/dev/null || \
		{ echo "this Python has no venv; on Debian and its kin: apt-get install python3-venv"; exit 1; }
	@$(PYTHON) -m venv $(VENV)

$(VENV)/ready-to-run: requirements.lock pyproject.toml | $(BIN)/python
	@echo "setting up once (a minute or two) ..."
	@$(PIP) --require-hashes -r requirements.lock
	@$(PIP) --no-deps --no-build-isolation --editable .
	@$(BIN)/python -c "from putback.plan.order import large; list(large.made_ready())"
	@touch $@

$(VENV)/ready-to-test: requirements-dev.lock $(VENV)/ready-to-run
	@echo "setting up for the tests once ..."
	@$(PIP) --require-hashes -r requirements-dev.lock
	@touch $@

lock:
	uv pip compile --quiet --universal --generate-hashes --no-header --no-emit-index-url --extra build pyproject.toml -o requirements.lock
	uv pip compile --quiet --universal --generate-hashes --no-header --no-emit-index-url --extra build --extra dev pyproject.toml -o requirements-dev.lock

clean:
	rm -rf $(VENV) .mypy_cache .ruff_cache .pytest_cache .hypothesis .import_linter_cache
