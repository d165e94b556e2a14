# Sourced by deploy/run and deploy/test, from the checkout: finds a Python and keeps .venv up to date.

python=.venv/bin/python

usable() { # a Python new enough that can also make environments
    "$1" -c 'import sys, venv, ensurepip; sys.exit(sys.version_info < (3, 11))' 2>/dev/null
}

system_python() {
    for candidate in python3.11 python3.12 python3.13 python3.14 python3 python; do
        if usable "$candidate"; then
            echo "$candidate"
            return
        fi
    done
    echo "Garlandry needs Python 3.11 or newer with its venv module (on Debian or Ubuntu:" \
        "apt install python3 python3-venv)." >&2
    return 1
}

# What an environment was made from: the interpreter and the pinned packages.
contents() { "$python" --version && cat "$1"; }

install() { # install CONSTRAINTS: quick when .venv already holds just that
    stamp=.venv/installed-$(basename "$1")
    if [ -x "$python" ] && contents "$1" 2>/dev/null | cmp -s - "$stamp"; then
        return
    fi
    if ! usable "$python"; then
        found=$(system_python)
        echo "Making .venv with $found …"
        "$found" -m venv --clear .venv
    fi
    echo "Installing the packages pinned in $1 …"
    "$python" -m pip install --quiet --disable-pip-version-check --no-input \
        --require-hashes -r "$1"
    contents "$1" >"$stamp"
}
