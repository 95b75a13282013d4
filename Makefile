# Everything a technician or a developer needs: `make demo`, `make test`. Other targets are listed by `make help`.
PYTHON ?= python3
VENV   := .venv
BIN    := $(VENV)/bin
ROOT   := $(filter 0,$(shell id -u))

.PHONY: help demo serve test test-slow bench validate guides lock clean setup setup-dev

help:
	@echo "make demo       set up, compare the two demo forks, write the report"
	@echo "make serve      set up, open the workbench on this machine"
	@echo "make test       set up, lint, types, rooms, fast tests (browser included)"
	@echo "make test-slow  long simulations and fault hunts"
	@echo "make bench      every speed ratio with its reference, in one run"
	@echo "make validate   write docs/validation.md from the test run"
	@echo "make guides     follow the guides in docs/how-to and renew what the screen shows"
	@echo "make lock       renew the lock files"
	@echo "make clean      take the environment and what was built away"

demo: setup
	@$(BIN)/forkwright demo --out build/demo

serve: setup
	$(BIN)/forkwright serve

test: setup-dev
	$(BIN)/ruff format --check src tests benchmarks
	$(BIN)/ruff check src tests benchmarks
	$(BIN)/mypy
	$(BIN)/lint-imports --no-cache
	$(BIN)/python -m pytest -n 2 -m "not slow"

test-slow: setup-dev
	$(BIN)/python -m pytest -m slow

bench: setup-dev
	$(BIN)/python -m benchmarks

validate: setup-dev
	$(BIN)/python -m tests.validation_page

guides: setup-dev
	$(BIN)/python -m tests.guide_pages

setup: $(VENV)/.ready
setup-dev: $(VENV)/.ready-dev

$(VENV)/bin/python:
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || { echo "forkwright needs Python 3.11 or newer"; exit 1; }
	@$(PYTHON) -c 'import ensurepip, venv' 2>/dev/null || $(if $(ROOT),(apt-get update -qq && apt-get install -y -qq python3-venv),{ echo "The venv module is missing. On Debian: sudo apt-get install python3-venv"; exit 1; })
	$(PYTHON) -m venv $(VENV)

$(VENV)/.ready: requirements.lock pyproject.toml | $(VENV)/bin/python
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements.lock
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --no-deps --no-build-isolation -e .
	@touch $@

$(VENV)/.ready-dev: requirements-dev.lock pyproject.toml | $(VENV)/bin/python
	@command -v chromium >/dev/null || $(if $(ROOT),(apt-get update -qq && apt-get install -y -qq chromium),{ echo "The browser tests need Chromium. On Debian: sudo apt-get install chromium"; exit 1; })
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements-dev.lock
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --no-deps --no-build-isolation -e .
	@touch $@ $(VENV)/.ready

LOCK := uv pip compile --quiet --universal --python-version 3.11 --generate-hashes --no-emit-index-url --no-header --no-annotate
lock:
	$(LOCK) --extra build pyproject.toml -o requirements.lock
	$(LOCK) --extra build --extra test --extra dev pyproject.toml -o requirements-dev.lock

clean:
	rm -rf $(VENV) build
