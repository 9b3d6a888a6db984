# Two commands on a fresh machine: `make demo` and `make test`. Needs Rust, Python 3.10+ and make.

PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
DEMO := out/demo
UNPACKED := $(or $(CARGO_HOME),$(HOME)/.cargo)/registry/src
CORE_SOURCES := $(shell find crates -name '*.rs' -o -name 'Cargo.toml' -o -path 'crates/bathkin/data/*') Cargo.toml Cargo.lock pyproject.toml

.PHONY: demo test build setup setup-dev lint check results docs validation bench notebooks package clean

demo: setup
	mkdir -p $(DEMO)
	$(BIN)/bathkin life nickel-acid --csv $(DEMO)/nickel-acid.csv --plot $(DEMO)/nickel-acid.png

test: setup-dev
	cargo test --workspace
	$(BIN)/pytest
	$(BIN)/pytest --nbmake notebooks -o filterwarnings=default

# The build of every day, by the light profile; what needs the release build then makes it anew.
build: $(VENV)/tools
	rm -f $(VENV)/installed $(VENV)/installed-dev
	VIRTUAL_ENV=$(abspath $(VENV)) $(BIN)/maturin develop --profile quick --quiet --extras dev

lint: $(VENV)/tools
	cargo fmt --all --check
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .

check: lint setup-dev
	$(BIN)/mypy
	cargo clippy --workspace --all-targets -- -D warnings
	RUSTDOCFLAGS="-D warnings" cargo doc --workspace --no-deps
	$(BIN)/python -m mypy.stubtest bathkin._core --ignore-missing-stub --allowlist tests/python/stubtest_allow.txt

# The dataclasses of results, from the structs that serialise into them, and the schema of recipes; tests compare them.
results:
	WRITE_RESULTS=1 cargo test --quiet --workspace --test results

docs:
	cargo doc --workspace --no-deps

# The built-in recipes against what is published: prints and writes docs/validation.md and its picture.
validation: setup-dev
	$(BIN)/python docs/validation.py

bench: setup-dev
	cargo bench -p benches
	$(BIN)/python benches/peers/compare.py
	$(BIN)/python benches/peers/titration.py
	$(BIN)/python benches/peers/fit.py

# What an earlier packaging unpacked or compiled has the same version, and Cargo takes it for today's.
package: setup-dev
	rm -rf $(UNPACKED)/-*/bathkin-*
	cargo clean --quiet -p bathkin-numerics -p bathkin-statistics -p bathkin -p bathkin-fit
	rm -rf target/package
	cargo package --allow-dirty -p bathkin-numerics -p bathkin-statistics -p bathkin -p bathkin-fit
	$(BIN)/maturin sdist --out dist
	MATURIN_PEP517_ARGS='--profile quick' $(BIN)/pip wheel --no-deps --wheel-dir dist dist/bathkin-*.tar.gz

notebooks: setup
	VIRTUAL_ENV=$(abspath $(VENV)) $(BIN)/maturin develop --release --quiet --extras notebook
	$(BIN)/jupyter lab notebooks

setup: $(VENV)/installed

setup-dev: $(VENV)/installed-dev

$(VENV)/made:
	$(PYTHON) -m venv $(VENV)
	$(BIN)/python -m pip install --quiet --upgrade pip
	touch $@

$(VENV)/tools: $(VENV)/made
	$(BIN)/python -m pip install --quiet 'maturin>=1.9.4,<2' 'ruff>=0.6'
	touch $@

$(VENV)/installed: $(VENV)/tools $(CORE_SOURCES)
	VIRTUAL_ENV=$(abspath $(VENV)) $(BIN)/maturin develop --release --quiet
	touch $@

# The extras bring what tests, checks and peers need; the build itself is cached.
$(VENV)/installed-dev: $(VENV)/installed
	VIRTUAL_ENV=$(abspath $(VENV)) $(BIN)/maturin develop --release --quiet --extras dev
	touch $@

clean:
	rm -rf $(VENV) target out dist
