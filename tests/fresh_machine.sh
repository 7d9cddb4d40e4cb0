#!/bin/bash
# Runs the two commands on a bare Debian 12, which this script makes and deletes. demo.sh and run.sh may need only the
# packages that they install themselves. One reason to change: the contents of a bare machine.
#
#   bash tests/fresh_machine.sh                          both commands
#   FRESHET_FRESH_ONLY=demo bash tests/fresh_machine.sh  the demonstration only (or: tests)
#
# Needs root, git and the network. The package sources, their keys, the proxy settings and the name server are those of
# this host. Tests the last commit, without changes that are not committed. The last line is
# `N passed, N failed`. Exit codes: 0 passed, 1 failed, 2 bad input, 3 the bare machine could not be made.
set -u -o pipefail

suite=bookworm
limit_s=${FRESHET_FRESH_LIMIT_S:-5400}
only=${FRESHET_FRESH_ONLY:-}
repository=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd)
root=

say() { printf 'fresh machine: %s\n' "$*"; }
give_up() { say "$2" >&2; exit "$1"; }

case $only in
    '' | demo | tests) ;;
    *) give_up 2 "FRESHET_FRESH_ONLY is '$only', expected demo or tests" ;;
esac
case $limit_s in
    '' | *[!0-9]*) give_up 2 "FRESHET_FRESH_LIMIT_S is '$limit_s', expected a whole number of seconds" ;;
esac
[ "$(id -u)" -eq 0 ] || give_up 2 "needs root, for debootstrap, mount and chroot"
command -v git > /dev/null || give_up 2 "needs git, to clone the repository"

# Process ids of the programs inside the bare machine.
inside() {
    local link
    for link in /proc/[0-9]*/root; do
        [ "$(readlink "$link" 2> /dev/null)" = "$root" ] && basename "$(dirname "$link")"
    done
    return 0
}

clear_away() {
    [ -n "$root" ] && [ -d "$root" ] || return 0
    local pid mounted
    for pid in $(inside); do kill -KILL "$pid" 2> /dev/null; done
    for mounted in "$root/dev" "$root/proc"; do
        # A lazy unmount also works while a program still uses the folder. A mounted folder of the host must not be deleted.
        if grep -q " $mounted " /proc/mounts; then umount --recursive --lazy "$mounted"; fi
    done
    if grep -q " $root/" /proc/mounts; then
        say "a file system is still mounted under $root, so this folder stays" >&2
        return 0
    fi
    rm -rf --one-file-system "$root"
}
trap clear_away EXIT
trap 'exit 130' INT
trap 'exit 143' TERM

if ! command -v debootstrap > /dev/null; then
    say "installing debootstrap"
    { apt-get update && DEBIAN_FRONTEND=noninteractive apt-get install --yes --no-install-recommends debootstrap; } \
        > /dev/null || give_up 3 "debootstrap is not there and could not be installed"
fi
# shellcheck disable=SC2016 # apt's own placeholders
mirror=$(apt-get indextargets --format '$(REPO_URI)' 'Created-By: Packages' "Release: $suite" 2> /dev/null | head -n 1)
[ -n "$mirror" ] || give_up 3 "this host has no package source for $suite"

root=$(mktemp -d) || give_up 3 "no room for a bare machine"
root=$(readlink -f "$root")
chmod 755 "$root"
say "making a bare Debian ($suite, minbase) from $mirror"
if ! debootstrap --variant=minbase "$suite" "$root" "$mirror" > "$root.log" 2>&1; then
    tail -n 20 "$root.log" >&2
    rm -f "$root.log"
    give_up 3 "debootstrap failed"
fi
rm -f "$root.log"

# Copies the host's package sources and keys, and its apt settings for fetching. Other settings name programs that a bare
# machine does not have.
rm -f "$root/etc/apt/sources.list"
for part in sources.list sources.list.d preferences.d trusted.gpg trusted.gpg.d keyrings; do
    if [ -e "/etc/apt/$part" ]; then cp -a "/etc/apt/$part" "$root/etc/apt/"; fi
done
mkdir -p "$root/usr/share/keyrings"
if [ -d /usr/share/keyrings ]; then cp -a /usr/share/keyrings/. "$root/usr/share/keyrings/"; fi
apt-config dump --format '%F "%v";%n' Acquire | grep -E '^Acquire::(http|https|ftp|Check-|Retries|ForceIP|Languages)' \
    > "$root/etc/apt/apt.conf.d/99host" || true
for part in resolv.conf hosts; do cp -L "/etc/$part" "$root/etc/$part"; done

mount -t proc proc "$root/proc" || give_up 3 "cannot mount /proc in the bare machine"
{ mount --rbind /dev "$root/dev" && mount --make-rslave "$root/dev"; } ||
    give_up 3 "cannot mount /dev in the bare machine"

git -C "$repository" diff --quiet HEAD -- 2> /dev/null || say "note: the working tree has changes that are not committed"
git clone --quiet --no-hardlinks "$repository" "$root/root/freshet" || give_up 3 "cannot clone $repository"
say "cloned $(git -C "$root/root/freshet" log -1 --format='%h %s')"

passed=0
failed=0
# try NAME COMMAND...: runs the command in the bare machine. The environment has only the proxies, and nobody answers.
try() {
    local name=$1 began code pid p kept=()
    shift
    local variable
    for variable in http_proxy https_proxy ftp_proxy no_proxy HTTP_PROXY HTTPS_PROXY NO_PROXY; do
        if [ -n "${!variable:-}" ]; then kept+=("$variable=${!variable}"); fi
    done
    say "$name: $*"
    began=$(date +%s)
    timeout --kill-after=30 "$limit_s" chroot "$root" /usr/bin/env -i HOME=/root TERM=dumb LANG=C.UTF-8 \
        PATH=/usr/local/sbin:/usr/local/bin:/usr/sbin:/usr/bin:/sbin:/bin "${kept[@]}" \
        /bin/bash -c 'cd /root/freshet && exec "$@"' bash "$@" < /dev/null
    code=$?
    pid=$(inside)
    if [ -n "$pid" ]; then
        say "$name: left running: $(for p in $pid; do tr '\0' ' ' < "/proc/$p/cmdline" 2> /dev/null; done)"
        for p in $pid; do kill -KILL "$p" 2> /dev/null; done
        [ "$code" -ne 0 ] || code=1
    fi
    if [ "$code" -eq 0 ]; then
        passed=$((passed + 1))
        say "$name: passed after $(($(date +%s) - began)) s"
    else
        failed=$((failed + 1))
        [ "$code" -eq 124 ] && say "$name: stopped after $limit_s s"
        say "$name: FAILED with exit code $code after $(($(date +%s) - began)) s"
    fi
}

if [ "$only" != tests ]; then try demo bash sim_plant/demo.sh --speed max; fi
if [ "$only" != demo ]; then try tests bash tests/run.sh; fi
printf '%d passed, %d failed\n' "$passed" "$failed"
[ "$failed" -eq 0 ]
