# The Debian packages with which Freshet is built and tested, and functions that install missing packages. For scripts to
# source. One reason to change: a dependency that comes or goes (DEVELOPERS.md gives the purpose of each).

build_packages=(g++ cmake ninja-build pkg-config libboost-dev libeigen3-dev libmodbus-dev libspdlog-dev libfmt-dev
    libudunits2-dev libtomlplusplus-dev libcli11-dev nlohmann-json3-dev libexpected-dev libsqlite3-dev)
test_packages=(libgtest-dev libgmock-dev libbenchmark-dev libsundials-dev binutils python3 python3-numpy python3-scipy
    python3-fluids python3-pymodbus python3-serial-asyncio mbpoll clang-format clang-tidy ccache
    gcc-arm-none-eabi libstdc++-arm-none-eabi-dev libnewlib-dev qemu-system-arm)

# Runs a command as root, directly or by sudo. Prints the command when neither is possible.
as_root() {
    if [ "$(id -u)" -eq 0 ]; then
        "$@"
    elif command -v sudo > /dev/null; then
        sudo "$@"
    else
        echo "Packages are missing, and this user is not root and has no sudo. Run as root:" >&2
        echo "    $*" >&2
        return 1
    fi
}

# install_missing PACKAGE...: installs the missing packages only, and uses the network only when a package is missing.
install_missing() {
    local package missing=() log
    if ! command -v dpkg-query > /dev/null || ! command -v apt-get > /dev/null; then
        echo "This system is not Debian. Install these packages of Debian by hand: $*" >&2
        return 1
    fi
    for package in "$@"; do
        if ! dpkg-query -W -f='${Status}' "$package" 2> /dev/null | grep -q '^install ok installed$'; then
            missing+=("$package")
        fi
    done
    [ ${#missing[@]} -eq 0 ] && return 0
    echo "Installing ${#missing[@]} packages: ${missing[*]}"
    log=$(mktemp)
    as_root apt-get update > "$log" 2>&1 || echo "apt-get update failed; continuing with the present package lists" >&2
    if ! as_root env DEBIAN_FRONTEND=noninteractive \
            apt-get install --yes --no-install-recommends "${missing[@]}" > "$log" 2>&1; then
        tail -n 20 "$log" >&2
        rm -f "$log"
        echo "The packages could not be installed." >&2
        return 1
    fi
    rm -f "$log"
}

# configure_and_build SOURCE FOLDER "CMAKE OPTIONS" TARGET...: an existing folder keeps its generator.
configure_and_build() {
    local source=$1 folder=$2 options=$3 generator=()
    shift 3
    [ -e "$folder/CMakeCache.txt" ] || generator=(-G Ninja)
    # The options are a list of words without spaces inside.
    # shellcheck disable=SC2086
    cmake "${generator[@]}" -S "$source" -B "$folder" $options || return 1
    cmake --build "$folder" --parallel "$(nproc)" --target "$@"
}
