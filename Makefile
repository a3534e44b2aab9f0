.DEFAULT_GOAL := help
PYTHON ?= python3
BIN := .venv/bin
READY := .venv/.ready
# tests stay in files beside each other, so that what a file prepares is prepared in one process
SHARED := -n auto --dist worksteal
# tests start the command a hundred times: what was compiled is kept
unexport PYTHONDONTWRITEBYTECODE

.PHONY: help setup demo test fast check bench docs audit lock clean

help: ## What each recipe does
	@grep -hE '^[a-z]+:.*## ' $(MAKEFILE_LIST) | sed -E 's/:.*## /\t/' | expand -t 10

$(READY): requirements.lock pyproject.toml places/pyproject.toml
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || \
	  { echo "Longhold needs Python 3.11 or newer; '$(PYTHON)' is $$($(PYTHON) --version 2>&1). Try: make PYTHON=python3.11 $(MAKECMDGOALS)"; exit 1; }
	@$(PYTHON) -c 'import venv, ensurepip' 2>/dev/null || \
	  { echo "This Python has no venv module. On Debian or Ubuntu: apt-get install python3-venv"; exit 1; }
	$(PYTHON) -m venv .venv
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements.lock
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --no-deps --no-build-isolation --editable . --editable ./places
	@touch $(READY)

setup: $(READY) ## Make .venv with the locked versions

demo: setup ## Assess the demo structure at two sites; write build/demo.html; offer the page
	@mkdir -p build
	@$(BIN)/longhold assess demo/boardwalk.toml --at demo/inland_site.toml --report build/demo.html; \
	  code=$$?; [ $$code -le 1 ] || exit $$code
	@echo "The same on a page, with labels, single joints and structures of your own: $(BIN)/longhold serve"

test: setup ## Every check: style, types, room order, all tests
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/lint-imports
	$(BIN)/python -m pytest $(SHARED) -m "not slow" src tests
	$(BIN)/python -m pytest $(SHARED) -m slow tests

fast: setup ## Only the fast tests
	$(BIN)/python -m pytest $(SHARED) -m "not slow" src tests

bench: setup ## Time the main jobs in turns with named peers: one table; ARGS="--write docs/benchmarks.md" keeps it
	$(BIN)/python benchmarks/run.py $(ARGS)

docs: setup ## Build the documentation into build/docs, which asks nothing from outside
	$(BIN)/python -m sphinx --quiet --fail-on-warning --keep-going --fresh-env docs build/docs
	@echo "Open build/docs/index.html"

audit: setup ## Ask the package index for known holes in the locked versions
	@$(BIN)/python tools/audit.py

lock: setup ## Resolve requirements.lock anew
	$(BIN)/python -m pip install --quiet uv
	$(BIN)/uv pip compile pyproject.toml --extra dev --universal --python-version 3.11 --generate-hashes --no-emit-index-url --no-annotate --no-header --upgrade -o requirements.lock

clean: ## Remove everything that was made
	rm -rf .venv build dist
