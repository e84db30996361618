# kinlight: `make` lists the targets. Needs Python 3.11 or newer, make and git, nothing else.

VENV := .venv
BIN := $(VENV)/bin
USABLE := import sys, ensurepip, venv; sys.exit(sys.version_info < (3, 11))
PYTHON ?= $(shell for python in python3.13 python3.12 python3.11 python3; do \
	if $$python -c '$(USABLE)' >/dev/null 2>&1; then echo $$python; break; fi; done)
PIP := $(BIN)/python -m pip --disable-pip-version-check --quiet --no-input
COMPILE := $(BIN)/uv pip compile --quiet --universal --python-version 3.11 \
	--generate-hashes --only-binary :all: --upgrade --custom-compile-command 'make lock' \
	--no-emit-index-url --no-emit-find-links

.DEFAULT_GOAL := help
.PHONY: help run test quick lint format bench lock clean

help:  ## list the targets
	@sed -n 's/^\([a-z]*\):.*## /\1\t/p' Makefile | expand -t 10

run: $(VENV)/run.stamp  ## plan the demo sitting: summary here, PDF and JSON in out/demo
	@rm -f out/demo/sitting.toml  # an older demo; kinlight itself replaces no sitting it does not know
	$(BIN)/kinlight demo out/demo

test: $(VENV)/test.stamp  ## all tests
	$(BIN)/python -m pytest -n 2

quick: $(VENV)/test.stamp  ## the tests but the slow ones
	$(BIN)/python -m pytest -n 2 -m 'not slow'

lint: $(VENV)/test.stamp  ## style, layout and types
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy

format: $(VENV)/test.stamp  ## lay the code out
	$(BIN)/ruff check --fix .
	$(BIN)/ruff format .

bench: $(VENV)/test.stamp  ## time what must stay fast
	$(BIN)/python -m bench

lock: $(BIN)/pip  ## look up the newest releases and write requirements/ anew
	$(PIP) install --require-hashes -r requirements/lock.txt
	$(COMPILE) pyproject.toml --extra fast --group build -o requirements/run.txt
	$(COMPILE) pyproject.toml --extra fast --group build --group test -c requirements/run.txt \
		-o requirements/test.txt
	$(COMPILE) --group lock -o requirements/lock.txt

clean:  ## remove everything that can be made again
	rm -rf $(VENV) out build dist .pytest_cache .mypy_cache .ruff_cache .hypothesis
	find . -name __pycache__ -prune -exec rm -rf {} +
	rm -rf src/*.egg-info

# pip is the last thing a new environment gets: a half-made one is made again.
$(BIN)/pip:
	@test -n '$(PYTHON)' || { echo 'kinlight needs Python 3.11 or newer with its venv module,' \
		'and found none; name one: make PYTHON=python3.12' >&2; exit 1; }
	@'$(PYTHON)' -c '$(USABLE)' 2>/dev/null || { echo 'kinlight needs Python 3.11 or newer with' \
		'its venv module; $(PYTHON) is' "$$('$(PYTHON)' -V 2>&1)" >&2; exit 1; }
	'$(PYTHON)' -m venv $(VENV)

$(VENV)/%.stamp: requirements/%.txt pyproject.toml | $(BIN)/pip
	@echo 'installing $< into $(VENV)'
	@$(PIP) install --require-hashes -r $<
	@$(PIP) install --no-deps --no-build-isolation -e .
	@echo 'compiling the light kernel, once'
	@$(BIN)/python -m kinlight.light.engine
	touch $@
