# Everything runs inside a virtual environment that this file makes; a second run does not install again.
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
STAMP := $(VENV)/installed
WORKERS ?= 2

.PHONY: demo test check soak mutants bench docs lock clean

demo: $(STAMP)
	$(BIN)/evenfire demo

# What needs a browser is one group: one such test at a time, whatever the number of workers.
test: $(STAMP)
	$(BIN)/python -m pytest -n $(WORKERS) --dist loadgroup $(PYTEST_FLAGS)

check: $(STAMP)
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/lint-imports --no-cache
	$(BIN)/python -m pytest tests/architecture $(PYTEST_FLAGS)

# Long counts; `make test` runs the same tests small, with a fixed seed.
soak: $(STAMP)
	EVENFIRE_SOAK=1 $(BIN)/python -m pytest -n $(WORKERS) --dist loadgroup -m "soak or not soak" $(PYTEST_FLAGS)

# The sample of faults alone: which the tests notice and which they do not, one line each.
mutants: $(STAMP)
	$(BIN)/python -m tools.mutants --processes $(WORKERS) $(MUTANT_FLAGS)

# Ratios against a reference in the same run; each writes its row into docs/reference/speed.md.
bench: $(STAMP)
	$(BIN)/python -m benchmarks

# Pages that are written from the code and from the published checks.
docs: $(STAMP)
	$(BIN)/python -m tools.pages

lock: $(STAMP)
	$(BIN)/uv pip compile --quiet --universal --generate-hashes --no-emit-index-url --no-header --group dev pyproject.toml -o requirements.lock

$(STAMP): requirements.lock pyproject.toml
	$(PYTHON) -m venv $(VENV)
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements.lock
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --no-deps --no-build-isolation --editable .
	touch $@

clean:
	rm -rf $(VENV) .mypy_cache .ruff_cache .pytest_cache .hypothesis
