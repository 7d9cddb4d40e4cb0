#!/bin/bash
# Every test: installs missing packages, builds, runs. One reason to change: the list of tests.
#
#   bash tests/run.sh              everything
#   bash tests/run.sh --quick      one build with little optimisation, without sanitizers, campaigns, cases and explorations
#   bash tests/run.sh --tidy       everything, and clang-tidy on every source but the tests (many minutes more)
#   bash tests/run.sh --benchmark  prints only the figures of Google Benchmark and of the core on a microcontroller
#
# Three builds: RelWithDebInfo for reference, property, house and process tests; address and undefined-behaviour
# sanitizers for unit, property and fuzz tests; the thread sanitizer for the tests with processes. Then clang-format, and
# clang-tidy on the core, the words and some rooms of the simulated plant. Then the core on a simulated microcontroller (tests/microcontroller).
# The last line is `N passed, N failed`. Exit codes: 0 all passed, 1 a test failed, 2 bad input, 3 failure.
set -u -o pipefail

house=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd)
# shellcheck source=../sim_plant/packages.sh
. "$house/sim_plant/packages.sh"
builds=$house/build-tests
jobs=$(nproc)
began=$(date +%s)
passed=0 failed=0

quick="" benchmark=""
tidy_rooms="controller/core controller/words sim_plant/weather sim_plant/sensors"
for option in "$@"; do
    case $option in
        --quick) quick=yes ;;
        --tidy) tidy_rooms="controller hal sim_plant config" ;;
        --benchmark) benchmark=yes ;;
        --help | -h) sed -n '2,12s/^# \{0,1\}//p' "${BASH_SOURCE[0]}"; exit 0 ;;
        *) echo "run: there is no option '$option'; usage: bash tests/run.sh [--quick | --tidy | --benchmark]" >&2; exit 2 ;;
    esac
done

say() { printf '== %4d s  %s\n' $(($(date +%s) - began)) "$*"; }
finish() {
    printf '%d passed, %d failed\n' "$passed" "$failed"
    [ "$failed" -eq 0 ]
    exit
}

# Targets of a build folder whose names match a pattern.
targets() { ninja -C "$1" -t targets all | sed -n "s/^\([A-Za-z0-9_-]*\): phony$/\1/p" | grep -E "^($2)\$"; }

# build NAME "CMAKE OPTIONS" PATTERN: makes the targets that match. A failure counts as one failed test.
build() {
    local name=$1 options=$2 pattern=$3 folder=$builds/$1 generator=() chosen
    [ -e "$folder/CMakeCache.txt" ] || generator=(-G Ninja)
    mkdir -p "$folder"
    say "building: $name"
    # The options are a list of words without spaces inside.
    # shellcheck disable=SC2086
    if ! cmake "${generator[@]}" -S "$house" -B "$folder" $options > "$folder/run.log" 2>&1; then
        tail -n 30 "$folder/run.log"
        failed=$((failed + 1))
        return 1
    fi
    mapfile -t chosen < <(targets "$folder" "$pattern")
    if ! ninja -C "$folder" -k 0 "${chosen[@]}" > "$folder/run.log" 2>&1; then
        grep -E -A 12 'FAILED|error' "$folder/run.log" | head -n 60
        say "the build $name failed"
        failed=$((failed + 1))
        return 1
    fi
}

# check NAME "CTEST OPTIONS": runs the tests of a build and counts them. Tests with processes wait for one another, so one test
# more than there are processors runs at a time.
check() {
    local name=$1 options=$2 log=$builds/$1/ctest.log ran bad
    say "testing: $name"
    # shellcheck disable=SC2086
    $ctest --test-dir "$builds/$name" --parallel $((jobs + 1)) --timeout 600 --output-on-failure --no-tests=error $options \
        > "$log" 2>&1
    ran=$(sed -n 's/.* tests failed out of \([0-9]*\)$/\1/p' "$log")
    bad=$(sed -n 's/.* \([0-9]*\) tests failed out of [0-9]*$/\1/p' "$log")
    if [ -z "$ran" ] || [ "$ran" -eq 0 ]; then
        tail -n 30 "$log"
        say "$name: no tests ran"
        failed=$((failed + 1))
        return
    fi
    if [ "$bad" -ne 0 ]; then
        # The output of each failed test, then the list of failed tests.
        grep -v -E '(Passed|^ *Start +[0-9]+:)' "$log" | tail -n 400
    fi
    say "$name: $((ran - bad)) passed, $bad failed"
    passed=$((passed + ran - bad))
    failed=$((failed + bad))
}

# one NAME COMMAND...: a check that counts as one test.
one() {
    local name=$1 log=$builds/$1.log
    shift
    say "checking: $name"
    if "$@" > "$log" 2>&1; then
        passed=$((passed + 1))
    else
        tail -n 60 "$log"
        say "$name failed"
        failed=$((failed + 1))
    fi
}

sources() { find "$house"/config "$house"/controller "$house"/hal "$house"/sim_plant "$house"/tests -name '*.[ch]pp' | sort; }
# shellcheck disable=SC2046
format_check() { clang-format --dry-run --Werror $(sources); }
# clang-tidy needs a minute or more for a file that includes Asio or a formatter, and a few seconds for a file of the core.
# Without --tidy only the rooms that include neither are checked. A file that passed is checked again only when the file or one of
# its headers has changed.
tidy_one() {
    local file=$1 stamp
    stamp=$builds/tidy/$(g++ -std=c++20 -I "$house" -E -P "$file" 2> /dev/null | cat - "$house/.clang-tidy" | sha256sum | cut -c 1-40)
    [ -e "$stamp" ] && return 0
    clang-tidy --quiet -p "$builds/tidy" "$file" && touch "$stamp"
}
# Every source with its own command. Of files that are compiled together the build lists only the file that includes them. The
# commands of the tests would bring the precompiled header of g++, which clang-tidy cannot read. clang has no --param.
commands_without_tests() {
    python3 - "$builds/plain/compile_commands.json" "$builds/tidy/compile_commands.json" "$house/tests/" << 'END'
import json, re, sys

def sources(listed):
    if "/Unity/" not in listed:
        return [listed]
    with open(listed) as together:
        return re.findall(r'^#include "(.*)"$', together.read(), re.MULTILINE)

with open(sys.argv[1]) as listed, open(sys.argv[2], "w") as own:
    json.dump([{**c, "file": file, "command": re.sub(" --param=[^ ]*", "", c["command"].replace(c["file"], file))}
               for c in json.load(listed) for file in sources(c["file"])
               if not file.startswith(sys.argv[3]) and "cmake_pch" not in c["command"]], own)
END
}
tidy_check() {
    mkdir -p "$builds/tidy"
    commands_without_tests || return 1
    export -f tidy_one
    export builds house
    local rooms=()
    # The rooms are a list of words.
    # shellcheck disable=SC2206
    rooms=($tidy_rooms)
    find "${rooms[@]/#/$house/}" -name '*.cpp' -print0 | xargs -0 -P "$jobs" -I {} bash -c 'tidy_one "$1"' bash {}
}

on_microcontroller() { bash "$house/tests/microcontroller/run.sh" "$builds/plain/tests/tape_maker" "$builds/microcontroller"; }

install_missing "${build_packages[@]}" "${test_packages[@]}" || exit 3
mkdir -p "$builds"
ctest=ctest
# Unit and fuzz tests run under the sanitizers and need no second run without them. --quick has no sanitizers.
plain_targets='(reference|property)_.*|house|golden|print_.*|hydraulics_trace|tape_maker|freshet|freshet-.*' plain_labels='^(reference|property|house|golden|end_to_end)$'
left_out='^$' plain_options="-DCMAKE_BUILD_TYPE=RelWithDebInfo"
if [ -n "$quick" ]; then
    # A developer waits for this tier, so campaigns, explorations, operator cases and the longest journals stay with the whole run. Less
    # optimisation compiles sooner and gives the same decisions.
    plain_targets='(unit|reference|fuzz)_.*|property_(storms|hydraulics)|house|golden|print_.*|hydraulics_trace|freshet|freshet-.*'
    plain_labels=. left_out='agrees_with_the_plants|OverABadLink|_NOT_BUILT$' plain_options+=" -DFRESHET_LEVEL=-O1"
    export FRESHET_STORMS=100
fi

if [ -n "$benchmark" ]; then
    build plain "-DCMAKE_BUILD_TYPE=RelWithDebInfo" '.*_benchmark|freshet|tape_maker' || exit 3
    find "$builds/plain/tests" -maxdepth 1 -name '*_benchmark' -type f | sort | while read -r program; do
        say "$(basename "$program")"
        "$program" --benchmark_min_time=0.5
    done
    say "the core on a microcontroller"
    on_microcontroller
    exit
fi

if build plain "$plain_options" "$plain_targets"; then check plain "-L $plain_labels -E $left_out"; fi
if [ -z "$quick" ]; then
    export ASAN_OPTIONS=strict_string_checks=1 UBSAN_OPTIONS=print_stacktrace=1
    if build address "-DCMAKE_BUILD_TYPE=RelWithDebInfo -DFRESHET_SANITIZE=address,undefined" '(unit|property|fuzz)_.*|golden'; then
        check address "-L ^(unit|property|fuzz|golden)$"
    fi
    # The thread sanitizer of g++ 12 does not work with the address layout of recent kernels.
    if setarch "$(uname -m)" -R true 2> /dev/null; then ctest="setarch $(uname -m) -R ctest"; fi
    export TSAN_OPTIONS=halt_on_error=1
    if build thread "-DCMAKE_BUILD_TYPE=RelWithDebInfo -DFRESHET_SANITIZE=thread" 'freshet|freshet-.*'; then
        check thread "-L ^end_to_end$"
    fi
    ctest=ctest
fi
one format format_check
if [ -z "$quick" ]; then
    one tidy tidy_check
    one microcontroller on_microcontroller
fi
finish
