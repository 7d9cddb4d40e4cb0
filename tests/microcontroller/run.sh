#!/bin/bash
# The core on a microcontroller: builds it for a Cortex-M4F, repeats a recorded tape on a simulated board and compares each
# scan's advice with the host's. One reason to change: how the core is built for the board.
#
#   bash tests/microcontroller/run.sh TAPE_MAKER FOLDER
#
# TAPE_MAKER is the host's program tape_maker. FOLDER gets the built files. Exit codes: 0 the same advice, 1 a difference or
# a core that needs a forbidden symbol, 2 bad input, 3 failure.
set -u -o pipefail

here=$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd)
house=$(cd "$here/../.." && pwd)
if [ $# -ne 2 ]; then
    echo "usage: bash tests/microcontroller/run.sh TAPE_MAKER FOLDER" >&2
    exit 2
fi
tape_maker=$(realpath "$1") folder=$2
mkdir -p "$folder/core" && folder=$(realpath "$folder") || exit 3

launcher=()
if command -v ccache > /dev/null; then launcher=(ccache); fi
# No fused multiply-add, as in the host's build. The processor calculates in single precision only, so the compiler's
# library calculates doubles.
options=(-std=c++20 -O2 -ffp-contract=off -mcpu=cortex-m4 -mthumb -mfloat-abi=hard -mfpu=fpv4-sp-d16
    -fno-exceptions -fno-rtti -fno-threadsafe-statics -fno-asynchronous-unwind-tables -ffunction-sections -fdata-sections
    -Wall -Wextra -Wpedantic -Wconversion -Wshadow -Werror -I "$house")

# compile OBJECT SOURCE [OPTION...]
compile() { "${launcher[@]}" arm-none-eabi-g++ "${options[@]}" -c -o "$@"; }

rm -f "$folder"/core/*.o "$folder"/*.o "$folder/libfreshet_core.a"
"$tape_maker" "$folder/tape" || exit 3
for source in "$house"/controller/core/*.cpp; do
    compile "$folder/core/$(basename "$source" .cpp).o" "$source" || exit 3
done
arm-none-eabi-ar rcs "$folder/libfreshet_core.a" "$folder"/core/*.o || exit 3

# The core may use the compiler's arithmetic and three functions of a C library. A heap, exceptions, input and
# output would show here by their names.
symbols() { arm-none-eabi-nm --format=just-symbols "$@" "$folder/libfreshet_core.a" | grep -v -e ':$' -e '^$' | sort -u; }
refused=$(comm -23 <(symbols --undefined-only) <(symbols --defined-only --extern-only) | grep -v -x -E '__aeabi_[a-z0-9]+|memcpy|memset|sqrt')
if [ -n "$refused" ]; then
    echo "The core needs symbols that a microcontroller may not have:"
    echo "$refused"
    exit 1
fi

# The compiler must not replace a loop of these files by a call of the library function that this loop implements.
for name in board functions player; do
    compile "$folder/$name.o" "$here/$name.cpp" -fno-tree-loop-distribute-patterns || exit 3
done
arm-none-eabi-g++ "${options[@]}" -nostdlib -Wl,--gc-sections -Wl,--fatal-warnings -T "$here/board.ld" -o "$folder/player.elf" \
    "$folder/board.o" "$folder/player.o" "$folder/functions.o" -L "$folder" -lfreshet_core -lgcc || exit 3

# shift=6: an instruction takes 2^6 ns of the board's time, even on a busy host. board.hpp needs this value. The player
# ends the simulation with its own exit code.
timeout 300 qemu-system-arm -M mps2-an386 -nographic -monitor none -serial none -icount shift=6,sleep=off \
    -semihosting-config enable=on,target=native,arg="$folder/tape" -kernel "$folder/player.elf"
code=$?
[ "$code" -le 3 ] || exit 3
exit "$code"
