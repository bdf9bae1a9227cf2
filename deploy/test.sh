#!/bin/sh
# Installs what the tests need and runs everything: vet, staticcheck, and the
# tests under the race detector, but for a few long ones (see below). As root or
# with sudo on Debian it installs by itself; elsewhere it says what is missing.
# What is said after the script's name goes to go test.
set -eu
cd "$(dirname "$0")/.."

missing=""
ls /usr/lib/postgresql/*/bin/initdb >/dev/null 2>&1 || command -v initdb >/dev/null 2>&1 || missing="$missing postgresql"
command -v chromium >/dev/null 2>&1 || missing="$missing chromium"
command -v promtool >/dev/null 2>&1 || missing="$missing prometheus"
command -v systemd-analyze >/dev/null 2>&1 || missing="$missing systemd"
command -v npm >/dev/null 2>&1 || missing="$missing npm"
[ -x /usr/sbin/postfix ] || missing="$missing postfix"
[ -x /usr/sbin/dovecot ] || missing="$missing dovecot-imapd"
command -v gcc >/dev/null 2>&1 || missing="$missing gcc libc6-dev"

if [ -n "$missing" ]; then
    if ! command -v apt-get >/dev/null 2>&1; then
        echo "These tests need:$missing (by Debian's names). Install them, then run this again." >&2
        exit 1
    fi
    sudo=""
    if [ "$(id -u)" -ne 0 ]; then
        command -v sudo >/dev/null 2>&1 || { echo "Run this as root, or install first:$missing" >&2; exit 1; }
        sudo=sudo
    fi
    echo "Installing:$missing"
    $sudo apt-get update -qq
    # shellcheck disable=SC2086 # one word each
    DEBIAN_FRONTEND=noninteractive $sudo apt-get install -y -qq --no-install-recommends $missing >/dev/null
fi
command -v go >/dev/null 2>&1 || { echo "Go 1.26 is missing: install it from your distribution or go.dev, then run this again." >&2; exit 1; }

echo "go vet"
go vet ./...
echo "staticcheck"
go tool staticcheck ./...
out=$(mktemp)
trap 'rm -f "$out"' EXIT
status=0
# Long seasons and long series, whose every step other tests take under the race
# detector too: with it these few would take half of the time.
long='^(TestAMonthOfTroubleEndsAsOneWithout|TestNothingThatWasIssuedDependsOnTheFuture|TestPlantedFaults|TestTheStatedErrorOfALoanIsTheRealOne|TestAReplayIsTheLiveSeasonByteByByte|TestTwentySeasonsInMemoryAreThoseInPostgreSQL|TestNothingAfterTheDayOfIssueMatters|TestSkillOnAnOpenSeries|TestForecastsCoverWhere.*DaysAreWithheld)$'
if [ $# -eq 0 ]; then
    echo "go test -race"
    go test -race -timeout 25m -json -skip "$long" ./... >"$out" || status=$?
    echo "go test, the long ones"
    go test -timeout 25m -json -run "$long" ./internal/app ./internal/weather ./internal/ensemble ./internal/replay ./internal/hindcast ./internal/advance >>"$out" || status=$?
else
    echo "go test -race $*"
    go test -race -timeout 25m -json "$@" ./... >"$out" || status=$?
fi
# A line a package, the output of what failed, and how many ran and were skipped.
grep -E '"Action":"(pass|fail|skip)"' "$out" | grep -v '"Test":' |
    sed -E 's/.*"Action":"([a-z]+)","Package":"([^"]*)".*"Elapsed":([0-9.]+).*/\1	\3s	\2/' | grep -v '^skip' || true
if [ "$status" -ne 0 ]; then
    plain() { sed -E 's/.*"Output":"(.*)"\}$/\1/; s/\\n$//; s/\\t/    /g; s/\\"/"/g' | grep -v -e '^=== ' -e '^ *--- PASS' | cut -c1-400; }
    # What doesn't build, and packages that end badly without a test that does.
    grep '"Action":"build-output"' "$out" | plain | head -n 100 || true
    grep '"Action":"fail"' "$out" | grep -v '"Test":' | sed -E 's/.*"Package":"([^"]*)".*/\1/' | sort -u | while read -r p; do
        grep "\"Package\":\"$p\"" "$out" | grep '"Action":"output"' | grep -v '"Test":' | plain | tail -n 40
    done
    # What each failed test said, its log last but for what the test itself says.
    grep '"Action":"fail"' "$out" | sed -nE 's/.*("Package":"[^"]*","Test":"[^"]*").*/\1/p' | sort -u | while read -r t; do
        echo "failed: $t" | sed -E 's/"Package":"([^"]*)","Test":"([^"]*)"/\1 \2/'
        said=$(grep -F "$t" "$out" | grep '"Action":"output"' | plain)
        echo "$said" | grep '^time=.* level=' | tail -n 20 || true
        echo "$said" | grep -v '^time=.* level=' | tail -n 60 || true
    done
fi
grep '"Action":"output"' "$out" | grep -F -e '--- SKIP' -A0 | sed -E 's/.*--- SKIP: ([^ ]*).*/skipped: \1/' || true
count() { grep "\"Action\":\"$1\"" "$out" | grep -c '"Test":' || true; }
echo "$(count pass) passed, $(count fail) failed, $(count skip) skipped"
exit "$status"
