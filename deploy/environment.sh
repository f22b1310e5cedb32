# Makes the checkout's own Python environment and finds Debian's programs; sourced by what starts and tests it.

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
  # Python compiles what it comes to use; pip would compile every file first, and most of them are never used.
  .venv/bin/pip install -q --disable-pip-version-check --no-compile --require-hashes -r "$requirements"
  .venv/bin/pip install -q --disable-pip-version-check --no-deps -e .
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

# Unpack Debian's packages of these names into a folder without installing them.
unpack() {
  mkdir -p "$1"
  (
    cd "$1"
    shift
    apt-get download -qq "$@" || { as_root apt-get update -qq && apt-get download -qq "$@"; } || exit
    local package
    for package in *.deb; do dpkg -x "$package" . && rm "$package" || exit; done
  )
}

# The folder of PostgreSQL's programs, unpacked where the machine has none; with what a bare Debian lacks to start them.
find_postgresql() {
  local there=usr/lib/postgresql/15/bin
  if [ -x "/$there/postgres" ]; then
    echo "/$there"
    return
  fi
  if [ ! -x ".venv/postgresql/$there/postgres" ]; then
    say "No PostgreSQL 15 was found; getting it ..."
    unpack .venv/postgresql postgresql-15 postgresql-client-15 libpq5 libicu72 libxml2 libldap-2.5-0 libsasl2-2 >&2 || {
      rm -rf .venv/postgresql
      return 1
    }
  fi
  echo "$PWD/.venv/postgresql/$there"
}

# nginx, unpacked likewise and with Caddy, since tests want both of them.
find_nginx() {
  PATH="$PATH:/usr/sbin" command -v nginx && return
  if [ ! -x .venv/proxies/usr/sbin/nginx ]; then
    say "No nginx was found; getting it ..."
    unpack .venv/proxies caddy nginx >&2 || return 1
  fi
  echo "$PWD/.venv/proxies/usr/sbin/nginx"
}

as_root() {
  if [ "$(id -u)" = 0 ]; then "$@"; else sudo "$@"; fi
}

say() {
  echo "$*" >&2
}

stop() {
  say "$*"
  exit 1
}
