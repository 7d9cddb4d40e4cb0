#!/bin/bash
# The share of controller/core that its own tests reach: lines, branches, and MC/DC (each condition alone decides once).
# One reason to change: the measured figures, or their lowest permitted values.
#
#   bash tests/coverage.sh                  builds with clang, runs unit tests, storms and explorations, prints figures per file
#   bash tests/coverage.sh --missing FILE   also lists the lines that no test reached in one file, such as staging.cpp
#
# Required: every branch of controller/core, and 95 % MC/DC of the sequencer and the permissives.
# Exit codes: 0 the requirements are met, 1 not met or a test failed, 2 bad input, 3 failure.
set -u -o pipefail

house=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd)
# shellcheck source=../sim_plant/packages.sh
. "$house/sim_plant/packages.sh"
folder=${FRESHET_COVERAGE_BUILD:-$house/build-tests/coverage}
storms=${FRESHET_STORMS:-60}
branches_least=100 mcdc_least=95

missing=""
case ${1:-} in
    "") ;;
    --missing) missing=${2:?a file of controller/core was expected} ;;
    --help | -h) sed -n '2,10s/^# \{0,1\}//p' "${BASH_SOURCE[0]}"; exit 0 ;;
    *) echo "coverage: '$1' is not known; usage: bash tests/coverage.sh [--missing FILE]" >&2; exit 2 ;;
esac

install_missing "${build_packages[@]}" "${test_packages[@]}" clang-19 llvm-19 libclang-rt-19-dev || exit 3
mkdir -p "$folder"
flags="-fprofile-instr-generate -fcoverage-mapping -fcoverage-mcdc"
generator=()
[ -e "$folder/CMakeCache.txt" ] || generator=(-G Ninja)
if ! cmake "${generator[@]}" -S "$house" -B "$folder" -DCMAKE_BUILD_TYPE=Debug -DCMAKE_CXX_COMPILER=clang++-19 \
    -DCMAKE_CXX_FLAGS="-O1 $flags" > "$folder/run.log" 2>&1 ||
    ! ninja -C "$folder" unit_core property_storms property_exploration > "$folder/run.log" 2>&1; then
    grep -E -A 8 'FAILED|error' "$folder/run.log" | head -n 40
    exit 3
fi

failed=0
rm -f "$folder"/*.profraw
# Only the two explorations that reach the most. The others take the same ways with other numbers of pumps.
for program in unit_core property_storms property_exploration; do
    filter="*"
    if [ "$program" = property_exploration ]; then filter="Exploration.of_two_pumps_with_a_*:Exploration.of_three_*"; fi
    if ! FRESHET_STORMS=$storms LLVM_PROFILE_FILE=$folder/$program.profraw "$folder/tests/$program" --gtest_brief=1 "--gtest_filter=$filter" \
        > "$folder/$program.log" 2>&1; then
        tail -n 30 "$folder/$program.log"
        failed=1
    fi
done
llvm-profdata-19 merge -sparse "$folder"/*.profraw -o "$folder/core.profdata" || exit 3
cov() {
    local what=$1
    shift
    llvm-cov-19 "$what" "$folder/tests/unit_core" -object "$folder/tests/property_storms" \
        -object "$folder/tests/property_exploration" \
        -instr-profile "$folder/core.profdata" "$@"
}
if [ -n "$missing" ]; then
    cov show --show-branches=count --show-mcdc "$house/controller/core/$missing"
fi

# One line for each file: lines, branches, MC/DC. A file without conditions counts as fully reached.
cov export -summary-only "$house/controller/core" | /usr/bin/python3 -c '
import json, os, sys
files = json.load(sys.stdin)["data"][0]["files"]
branches_least, mcdc_least = float(sys.argv[1]), float(sys.argv[2])
total = {"lines": [0, 0], "branches": [0, 0], "mcdc": [0, 0]}
short = []
def share(covered, count):
    return 100.0 if count == 0 else 100.0 * covered / count
print(f"{'"'file'"':<22}{'"'lines'"':>18}{'"'branches'"':>18}{'"'MC/DC'"':>18}")
for one in sorted(files, key=lambda f: f["filename"]):
    name, row = os.path.basename(one["filename"]), ""
    for kind in total:
        counted = one["summary"][kind]
        total[kind][0] += counted["covered"]
        total[kind][1] += counted["count"]
        row += "{:5d}/{:<5d}{:6.1f} %".format(counted["covered"], counted["count"], share(counted["covered"], counted["count"]))
    print(f"{name:<22}{row}")
    branches, mcdc = one["summary"]["branches"], one["summary"]["mcdc"]
    if share(branches["covered"], branches["count"]) < branches_least:
        short.append(f"{name}: {branches['"'count'"'] - branches['"'covered'"']} branches not reached")
    if name.startswith(("sequencer", "permissives")) and share(mcdc["covered"], mcdc["count"]) < mcdc_least:
        short.append(f"{name}: MC/DC below {mcdc_least:.0f} %")
print("{:<22}".format("controller/core") + "".join("{:5d}/{:<5d}{:6.1f} %".format(*total[k], share(*total[k])) for k in total))
for line in short:
    print("short:", line)
sys.exit(1 if short else 0)
' "$branches_least" "$mcdc_least" || failed=1
exit "$failed"
