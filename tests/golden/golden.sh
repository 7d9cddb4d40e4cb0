#!/bin/bash
# Compares the decisions and words of this tree with the kept files, or renews the kept files.
# One reason to change: how the comparison is built.
#
#   bash tests/golden/golden.sh                  the shipped scenarios and 20 random storms
#   bash tests/golden/golden.sh --all            ... and all 200 storms
#   bash tests/golden/golden.sh --renew codes    writes codes.txt, after a change of a decision; the commit gives the reason
#   bash tests/golden/golden.sh --renew words    writes words.txt, after a change of the words that people read
#
# Exit codes: 0 nothing differs, 1 something differs and the first difference is printed, 2 bad input, 3 failed.
set -u -o pipefail

house=$(cd "$(dirname "${BASH_SOURCE[0]}")/../.." && pwd)
# shellcheck source=../../sim_plant/packages.sh
. "$house/sim_plant/packages.sh"
folder=$house/build-tests/plain
log=$(mktemp)
trap 'rm -f "$log"' EXIT

install_missing "${build_packages[@]}" "${test_packages[@]}" || exit 3
if ! configure_and_build "$house" "$folder" "-DCMAKE_BUILD_TYPE=RelWithDebInfo" golden > "$log" 2>&1; then
    tail -n 30 "$log" >&2
    exit 3
fi
exec "$folder/tests/golden" "$@"
