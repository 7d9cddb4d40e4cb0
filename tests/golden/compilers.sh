#!/bin/bash
# Shows that the advice does not depend on the compiler: the golden runs, built by g++ and clang++, at -O0 and -O3,
# with and without the sanitizers. One reason to change: a compiler or an option that must agree.
#
#   bash tests/golden/compilers.sh           the shipped scenarios and 20 random storms, eight builds
#   bash tests/golden/compilers.sh --all     ... and all 200 storms
#
# tests/run.sh repeats two of the eight kinds in every full run. Each build takes some minutes on two cores.
# Exit codes: 0 all builds agree, 1 a build differs and the first difference is printed, 2 bad input, 3 failed.
set -u -o pipefail

house=$(cd "$(dirname "${BASH_SOURCE[0]}")/../.." && pwd)
# shellcheck source=../../sim_plant/packages.sh
. "$house/sim_plant/packages.sh"
case ${1:-} in
    "" | --all) ;;
    *) echo "compilers: there is no option '$1'; usage: bash tests/golden/compilers.sh [--all]" >&2; exit 2 ;;
esac
install_missing "${build_packages[@]}" "${test_packages[@]}" clang || exit 3

different=0
for compiler in g++ clang++; do
    for level in -O0 -O3; do
        for sanitize in "" address,undefined; do
            name=$compiler$level${sanitize:+-sanitized}
            folder=$house/build-tests/golden-$name
            mkdir -p "$folder"
            # The level comes last, so that the level has precedence. A sanitizer build of clang 14 gives warnings that g++ does not give.
            if ! CXX=$compiler cmake -G Ninja -S "$house" -B "$folder" -DCMAKE_BUILD_TYPE=RelWithDebInfo \
                -DFRESHET_SANITIZE="$sanitize" -DFRESHET_LEVEL="$level" > "$folder/run.log" 2>&1 ||
                ! ninja -C "$folder" golden > "$folder/run.log" 2>&1; then
                grep -E -A 6 'error' "$folder/run.log" | head -n 30 >&2
                echo "compilers: $name could not be built; see $folder/run.log" >&2
                exit 3
            fi
            printf '%-24s ' "$name"
            "$folder/tests/golden" "$@" || different=1
        done
    done
done
exit "$different"
