.DEFAULT_GOAL := help
PYTHON ?= python3
BIN := .venv/bin
READY := .venv/.ready
PIP := $(BIN)/python -m pip install --quiet --disable-pip-version-check
LOCKED := --quiet --universal --python-version 3.11 --generate-hashes --no-emit-index-url --no-annotate --no-header --upgrade
MINUTES ?= 20
# tests stay in files beside each other, so that what a file prepares is prepared in one process
TESTS := $(BIN)/python -m pytest -n auto --dist worksteal --durations 25
# tests start the command a hundred times: what was compiled is kept
unexport PYTHONDONTWRITEBYTECODE

.PHONY: help setup demo test timbers types fast bench fuzz docs audit lock clean

help: ## What each recipe does
	@grep -hE '^[a-z]+:.*## ' $(MAKEFILE_LIST) | sed -E 's/:.*## /\t/' | expand -t 10

$(READY): requirements.lock installer.lock pyproject.toml places/pyproject.toml
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || \
	  { echo "Longhold needs Python 3.11 or newer; '$(PYTHON)' is $$($(PYTHON) --version 2>&1). Try: make PYTHON=python3.11 $(MAKECMDGOALS)"; exit 1; }
	@$(PYTHON) -c 'import venv, ensurepip' 2>/dev/null || \
	  { echo "This Python has no venv module. On Debian or Ubuntu: apt-get install python3-venv"; exit 1; }
	$(PYTHON) -m venv .venv
	@# the fast installer first; where it does not run or reaches no index, pip does the same
	@$(PIP) --require-hashes -r installer.lock && \
	  $(BIN)/uv pip install --quiet --python $(BIN)/python --require-hashes -r requirements.lock || \
	  $(PIP) --require-hashes -r requirements.lock
	@$(PIP) --no-deps --no-build-isolation --editable . --editable ./places
	@touch $(READY)

setup: $(READY) ## Make .venv with the locked versions

demo: setup ## Assess the demo structure at two sites; write build/demo.html; offer the page
	@mkdir -p build
	@$(BIN)/longhold assess demo/boardwalk.toml --at demo/inland_site.toml --report build/demo.html; \
	  code=$$?; [ $$code -le 1 ] || exit $$code
	@echo "The same on a page, with labels, single joints and structures of your own: $(BIN)/longhold serve"

# what the compiler makes and the demo's timbers come first, beside the types: else two workers make each of them
test: export LONGHOLD_CACHE = $(CURDIR)/build/tests
test: setup ## Every check: style, types, room order, all tests
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/lint-imports
	@rm -rf build/tests
	@$(MAKE) --no-print-directory -j 2 types timbers
	$(TESTS) -m "not slow" src tests
	$(TESTS) -m slow $$(grep -rl --include='*.py' 'slow' tests)
	@rm -rf build/tests

timbers: setup
	@$(BIN)/longhold assess demo/boardwalk.toml --at demo/inland_site.toml --draws 200 > /dev/null; [ $$? -le 1 ]

types: setup ## Only the types
	$(BIN)/mypy

fast: setup ## Only the fast tests
	$(TESTS) -m "not slow" src tests

bench: setup ## Time the main jobs in turns with named peers: one table; ARGS="--write docs/benchmarks.md" keeps it
	$(BIN)/python benchmarks/run.py $(ARGS)

docs: setup ## Build the documentation into build/docs, which asks nothing from outside
	$(BIN)/python -m sphinx --quiet --fail-on-warning --keep-going --fresh-env docs build/docs
	@echo "Open build/docs/index.html"

fuzz: setup ## Spoil what people hand in for MINUTES and write into docs/proof.md what crashed
	@$(BIN)/python tools/fuzz.py --minutes $(MINUTES) --note docs/proof.md

audit: setup ## Ask the package index for known holes in the locked versions
	@$(BIN)/python tools/audit.py

lock: setup ## Resolve requirements.lock anew
	$(PIP) --require-hashes -r installer.lock
	echo "uv>=0.9" | $(BIN)/uv pip compile - $(LOCKED) -o installer.lock
	$(BIN)/uv pip compile pyproject.toml --extra dev $(LOCKED) -o requirements.lock

clean: ## Remove everything that was made
	rm -rf .venv build dist
