# One target per habit. `make help` lists them.
.DEFAULT_GOAL := help
PYTHON ?= $(shell command -v python3.11 || command -v python3)
VENV := .venv
BIN := $(VENV)/bin
READY := $(VENV)/.ready

$(READY): pyproject.toml constraints.txt
	test -x $(BIN)/python || $(PYTHON) -m venv $(VENV)
	$(BIN)/pip install --quiet --disable-pip-version-check -c constraints.txt -e '.[all]'
	touch $(READY)

$(VENV)/.dev: $(READY)
	$(BIN)/pip install --quiet --disable-pip-version-check -c constraints.txt -e '.[all,dev]'
	command -v chromium >/dev/null || { apt-get update -qq && apt-get install -qq -y --no-install-recommends chromium; } \
	|| echo "chromium is missing and cannot be installed without root: the journeys of the page are left out"
	touch $@

.PHONY: help demo test lint fast docs wheel bench fuzz faults lock clean

help: ## list the targets
	@grep -E '^[a-z]+:.*## ' Makefile | sed -E 's/^([a-z]+):.*## /\1\t/' | expand -t 10

demo: $(READY) ## set up, predict the demo plan, and say where its report lies
	$(BIN)/steadfall predict examples/press.yaml --out out/demo
	@echo "to begin a plan of your own on a page in the browser: $(BIN)/steadfall open"

test: $(VENV)/.dev ## set up, then run every check and the whole suite
	# the kernels are compiled meanwhile; two workers would compile them twice
	$(BIN)/steadfall predict examples/press.yaml > /dev/null & $(MAKE) --no-print-directory lint && wait
	$(BIN)/pytest -n 2 --dist worksteal

lint: $(VENV)/.dev ## style, types and the order of the layers
	$(BIN)/ruff check . && $(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/lint-imports

fast: $(VENV)/.dev ## the suite without its slow tests
	$(BIN)/pytest -n 2 --dist worksteal -m "not slow"

docs: $(VENV)/.dev ## regenerate the tables and documents that come from the code
	$(BIN)/python -m tests.regenerate

wheel: $(READY) ## build the wheel, install it alone elsewhere, and use it there
	$(BIN)/python -m tests.wheel

bench: $(VENV)/.dev ## measure speed and memory (some minutes)
	$(BIN)/python -m benchmarks

fuzz: $(VENV)/.dev ## read 100,000 made-up texts, run 15,000 programs (half an hour)
	$(BIN)/python -m tests.st.fuzz

faults: $(VENV)/.dev ## seed every fault and move every number, and write the tables of what becomes of them
	$(BIN)/python -m tests.prove.mutation
	$(BIN)/python -m tests.prove.moved

lock: $(VENV)/.dev ## renew uv.lock and constraints.txt
	$(BIN)/pip install --quiet --disable-pip-version-check uv
	$(BIN)/uv lock --upgrade
	$(BIN)/uv export --quiet --all-extras --no-hashes --no-annotate --no-header --no-emit-project -o constraints.txt

clean: ## remove what was built
	rm -rf $(VENV) out bench build src/*.egg-info
