#!/bin/sh
# Compares the day distributions with the same work in vectorised numpy and
# scipy, on one core: the two by turns, and of each the fastest of 21, so
# that other work on the machine falls on both alike. Then times a replay.
#   BUDCALL_SHARED  the folder with bench/numpy_reference.py; without it, ../shared
#   ROUNDS          how many rounds of three turns; without it, 7
set -eu
cd "$(dirname "$0")/.."

say() { printf '%s\n' "$*" >&2; }

dir=$(mktemp -d)
trap 'rm -rf "$dir"' EXIT INT TERM

# Two processes, this one and PostgreSQL, on whatever cores there are.
go test -c -o "$dir/postgres" ./internal/postgres
(cd internal/postgres && "$dir/postgres" -test.run '^$' -test.bench '^BenchmarkHistories$' -test.benchtime 1x -test.count 9) >"$dir/history.txt"
awk '/^BenchmarkHistories/ { if (!best || $3 + 0 < best) best = $3 + 0 }
    END {
        if (!best) { print "no result of BenchmarkHistories: run go test -bench Histories ./internal/postgres to see why" > "/dev/stderr"; exit 1 }
        printf "%-64s %7.0f ms           at most 200\n\n", "history of 1,000 sites and 30 years read, the fastest of 9", best / 1e6
    }' "$dir/history.txt"

reference=${BUDCALL_SHARED:-../shared}/bench/numpy_reference.py
if [ ! -f "$reference" ]; then
    say "$reference isn't there, so there is nothing to compare with: name the folder that holds bench/numpy_reference.py in BUDCALL_SHARED. Skipped."
    exit 0
fi

# The first Python on this machine that has both libraries.
python=
for p in python3 /usr/bin/python3; do
    if "$p" -c 'import numpy, scipy.special' >/dev/null 2>&1; then
        python=$p
        break
    fi
done
if [ -z "$python" ]; then
    say "No python3 with numpy and scipy: on Debian, apt-get install python3-scipy, then run this again. Skipped."
    exit 0
fi

# One core: the last, as the first has most of the machine's interrupts.
core=
if command -v taskset >/dev/null 2>&1 && command -v nproc >/dev/null 2>&1; then
    core="taskset -c $(($(nproc) - 1))"
else
    say "taskset isn't there (Debian: util-linux), so nothing is held to one core; numpy may then use more than one."
fi
export OMP_NUM_THREADS=1 OPENBLAS_NUM_THREADS=1 GOMAXPROCS=1

go test -c -o "$dir/ensemble" ./internal/ensemble
go test -c -o "$dir/replay" ./internal/replay

rounds=${ROUNDS:-7}
i=0
while [ "$i" -lt "$rounds" ]; do
    i=$((i + 1))
    [ -t 2 ] && printf '\rround %d of %d' "$i" "$rounds" >&2
    for _ in 1 2 3; do # about as long: 30 ms each
        $core "$python" "$reference" 40 >>"$dir/numpy.txt"
        $core "$dir/ensemble" -test.run '^$' -test.bench '^Benchmark(FromTemperatures|Daily)$' -test.benchtime 500x >>"$dir/go.txt"
    done
done
(cd internal/replay && $core "$dir/replay" -test.run '^$' -test.bench '^BenchmarkASiteSeason$' -test.benchtime 3x -test.count 3) >>"$dir/go.txt"
[ -t 2 ] && printf '\r                    \r' >&2

awk -v rounds="$rounds" '
    FILENAME ~ /numpy/ { for (i = 2; i <= NF; i++) if ($i == "us") { t = $(i-1) * 1000; if (!numpy || t < numpy) numpy = t } }
    /^Benchmark/ { sub(/-[0-9]+$/, "", $1); if (!($1 in best) || $3 + 0 < best[$1]) best[$1] = $3 + 0 }
    function row(what, name, goal) {
        if (!best[name]) { print "no result of " name ": run go test -bench " name " to see why" > "/dev/stderr"; failed = 1; exit 1 }
        printf "%-64s %7.0f us %6.1f x   %s\n", what, best[name] / 1000, numpy / best[name], goal
    }
    END {
        if (failed) exit 1
        if (!numpy) { print "the reference printed no time per site: run it by itself to see why" > "/dev/stderr"; exit 1 }
        printf "one core, a site, the fastest of %d by turns%s", 3 * rounds, "\n\n"
        printf "%-64s %7.0f us\n", "numpy: 30 members x 200 days, single sine, 2 bases, 6 events", numpy / 1000
        row("day distributions from temperatures, the same work", "BenchmarkFromTemperatures", "at least 8, aim 12")
        row("daily work with cached sums, 7 stages", "BenchmarkDaily", "at least 15, aim 20")
        if (!best["BenchmarkASiteSeason"]) { print "replay wasn'"'"'t timed: run go test -bench SiteSeason ./internal/replay to see why" > "/dev/stderr"; exit 1 }
        printf "%-64s %7.0f ms, as long as %.0f sites of the first row\n", "replay of a season of one site, January to October", best["BenchmarkASiteSeason"] / 1e6, best["BenchmarkASiteSeason"] / numpy
    }' "$dir/numpy.txt" "$dir/go.txt"
