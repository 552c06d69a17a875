# The two commands that matter: “make demo” shows what this is, “make test” proves it.
# Python 3.11 or newer and make are enough; everything else is installed into .venv.

RUNTIME := .venv/.runtime
DEV := .venv/.dev

.PHONY: help demo test bench check docs lock clean
.DEFAULT_GOAL := help

help:
	@echo "make demo    a made-up reef with fourteen months behind it, in the terminal and in a browser"
	@echo "make test    everything the tests need, then style, types and every test"
	@echo "make check   the same without starting services: what is quick to run while working"
	@echo "make bench   how fast it is, against figures that it must keep"
	@echo "make docs    remake what is made: commands, errors, trust, the screen in README"
	@echo "make lock    remake the locked requirements (LOCK=--upgrade for newer versions)"
	@echo "make clean   remove what these made"

demo: $(RUNTIME)
	@.venv/bin/python -m scripts.demo

test: $(DEV)
	@scripts/test

check: $(DEV)
	@scripts/check

bench: $(DEV)
	@scripts/bench

docs: $(DEV)
	@.venv/bin/python -m scripts.reference
	@.venv/bin/python -m scripts.sentences
	@.venv/bin/python -m scripts.readme
	@.venv/bin/python -m scripts.trust

lock: $(DEV)
	@scripts/lock $(LOCK)

clean:
	rm -rf .venv build dist demo-book .mypy_cache .ruff_cache .pytest_cache .hypothesis htmlcov
	rm -f .coverage
	find src tests scripts bench -name __pycache__ -type d -prune -exec rm -rf {} +

# Stamps: nothing is installed twice unless what it is made from has changed.
$(RUNTIME): requirements/runtime.lock requirements/build.lock pyproject.toml scripts/venv scripts/install
	@PYTHON="$(PYTHON)" scripts/venv
	@scripts/install runtime
	@touch $@

$(DEV): requirements/dev.lock pyproject.toml scripts/venv scripts/install
	@PYTHON="$(PYTHON)" scripts/venv
	@scripts/install dev
	@touch $@ $(RUNTIME)
