# wetleaf: two commands do everything. `make demo` shows it, `make test` tries it.
# Needs CPython 3.11 or newer with pip and venv, and nothing else.
PYTHON ?= $(shell command -v python3.11 || command -v python3)
VENV := .venv
BIN := $(VENV)/bin
WORKSPACE ?= demo-season
PORT ?= 8011
export PIP_DISABLE_PIP_VERSION_CHECK := 1

.PHONY: demo test check quick lint types layers browser lock bench clean

demo: $(VENV)/.run  ## load the invented season, write its book, serve both on this machine
	$(BIN)/wetleaf demo --workspace $(WORKSPACE) --port $(PORT)

test: $(VENV)/.dev browser  ## everything: format, lint, types, layers and the whole suite on both databases
	$(MAKE) --no-print-directory lint types layers
	$(BIN)/python -m pytest -n 2 --dist worksteal
	WETLEAF_TEST_DATABASE=postgres $(BIN)/python -m pytest -n 2 --dist worksteal

check: $(VENV)/.dev  ## the same as test
	$(MAKE) --no-print-directory test

quick: $(VENV)/.dev  ## the suite without browser and PostgreSQL, for while you work
	$(BIN)/python -m pytest -n 2 -m "not browser"

lint: $(VENV)/.dev
	$(BIN)/ruff format --check .
	$(BIN)/ruff check .

types: $(VENV)/.dev
	$(BIN)/mypy

layers: $(VENV)/.dev
	$(BIN)/lint-imports

# A browser for the tests of what a person sees: Debian's, when we may install it.
browser:
	@command -v chromium chromium-browser google-chrome >/dev/null 2>&1 || { \
	  if [ "$$(id -u)" = 0 ] && command -v apt-get >/dev/null 2>&1; then \
	    apt-get update -qq && DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends chromium >/dev/null; \
	  else echo "NO CHROMIUM FOUND: the browser tests will not run. Install Chromium or Chrome to run them."; fi; }

bench: $(VENV)/.dev  ## measure speed and memory as ratios in one run
	$(BIN)/python benchmarks/run.py

lock:  ## resolve the locks again (needs uv)
	uv pip compile --generate-hashes --no-header --no-annotate --no-emit-index-url --python-version 3.11 requirements/build.in pyproject.toml -o requirements/run.txt
	uv pip compile --generate-hashes --no-header --no-annotate --no-emit-index-url --python-version 3.11 requirements/build.in pyproject.toml requirements/dev.in -o requirements/dev.txt

$(VENV)/bin/python:
	$(PYTHON) -c 'import sys; sys.exit("wetleaf needs Python 3.11 or newer, this is " + sys.version.split()[0]) if sys.version_info < (3, 11) else None'
	$(PYTHON) -m venv $(VENV)

$(VENV)/.run: requirements/run.txt pyproject.toml | $(VENV)/bin/python
	$(BIN)/pip install --quiet --require-hashes -r requirements/run.txt
	$(BIN)/pip install --quiet --no-deps --no-build-isolation --editable .
	touch $@

$(VENV)/.dev: requirements/dev.txt pyproject.toml | $(VENV)/bin/python
	$(BIN)/pip install --quiet --require-hashes -r requirements/dev.txt
	$(BIN)/pip install --quiet --no-deps --no-build-isolation --editable .
	touch $(VENV)/.run $@

clean:
	rm -rf $(VENV) demo-season .mypy_cache .ruff_cache .pytest_cache .hypothesis
