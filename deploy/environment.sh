# Makes the checkout's own Python environment; sourced by start and test, which say what goes into it.

# Python keeps what it has compiled, whatever this machine usually does: every server of a test would compile it anew.
export PYTHONDONTWRITEBYTECODE=

# Install the locked packages of a requirements file and this checkout itself, unless nothing has changed since.
prepare() {
  local requirements=$1 stamp=.venv/installed-$(basename "$1")
  local wanted
  wanted=$(cat pyproject.toml "$requirements" | sha256sum)
  if [ -x .venv/bin/python ] && [ "$(cat "$stamp" 2>/dev/null)" = "$wanted" ]; then
    return
  fi
  if [ ! -x .venv/bin/python ]; then
    say "Making an environment of its own in .venv ..."
    "$(find_python)" -m venv .venv || stop "Python could not make an environment (on Debian: apt install python3-venv)."
  fi
  say "Installing what Clockyard needs (once; a minute or two) ..."
  rm -f .venv/installed-*
  .venv/bin/pip install -q --disable-pip-version-check --require-hashes -r "$requirements"
  .venv/bin/pip install -q --disable-pip-version-check --no-deps -e .
  # Compiled now, so that the first start is as quick as later ones.
  .venv/bin/python -m compileall -q .venv/lib >/dev/null || true
  echo "$wanted" >"$stamp"
}

find_python() {
  local name
  for name in python3.11 python3.12 python3.13 python3.14 python3 python; do
    if command -v "$name" >/dev/null && "$name" -c 'import sys; sys.exit(sys.version_info < (3, 11))'; then
      echo "$name"
      return
    fi
  done
  stop "Python 3.11 or later is needed, and none was found."
}

say() {
  echo "$*" >&2
}

stop() {
  say "$*"
  exit 1
}
