#!/bin/sh
# Plays the invented programme of config/ through a whole season. Installs
# Debian's postgresql if PostgreSQL is missing, builds ./budcall, runs it.
# What is said after the script's name goes to "budcall demo":
#   --out DIR   keep mails and pictures there     --stay   leave the season board open
set -eu
cd "$(dirname "$0")/.."

say() { printf '%s\n' "$*" >&2; }

has_postgresql() {
    [ -n "${BUDCALL_PG_BIN:-}" ] && [ -x "$BUDCALL_PG_BIN/initdb" ] && return 0
    command -v initdb >/dev/null 2>&1 && return 0
    for initdb in /usr/lib/postgresql/*/bin/initdb /usr/pgsql-*/bin/initdb /usr/local/pgsql/bin/initdb /opt/homebrew/opt/postgresql*/bin/initdb; do
        [ -x "$initdb" ] && return 0
    done
    return 1
}

if ! command -v go >/dev/null 2>&1; then
    say "Go 1.26 or newer is missing. Debian: apt-get install golang, if that is new enough; else see https://go.dev/doc/install. Then run this again."
    exit 1
fi

if ! has_postgresql; then
    if ! command -v apt-get >/dev/null 2>&1; then
        say "PostgreSQL 14 or newer is missing. Install it, then run this again:"
        say "  Fedora: dnf install postgresql-server     Arch: pacman -S postgresql     macOS: brew install postgresql@17"
        say "or name the folder that holds initdb and postgres in BUDCALL_PG_BIN."
        exit 1
    fi
    sudo=""
    if [ "$(id -u)" -ne 0 ]; then
        if ! command -v sudo >/dev/null 2>&1; then
            say "PostgreSQL is missing, and only root can install it. As root: apt-get install postgresql. Then run this again."
            exit 1
        fi
        sudo=sudo
    fi
    say "Installing postgresql"
    $sudo apt-get update -qq
    $sudo env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends postgresql >/dev/null
fi

say "Building ./budcall"
go build -trimpath -o budcall ./cmd/budcall
exec ./budcall demo "$@"
