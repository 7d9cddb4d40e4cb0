#!/bin/bash
# The demonstration: installs missing packages and builds. Then a controller process stages the pumps of a simulated station
# through a storm, over Modbus TCP, in lockstep.
#
#   bash sim_plant/demo.sh                        the design storm, a day in about two minutes
#   bash sim_plant/demo.sh --speed max            as fast as possible
#   bash sim_plant/demo.sh --scenario cloudburst  another scenario of config/scenarios
#
# Ctrl-C ends both processes in order. The summary of the run until then is still shown. Exit codes: 0 good, 2 bad
# input, 3 failed.
#
# One reason to change: the steps of the demonstration.
set -u -o pipefail

house=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd)
# shellcheck source=packages.sh
. "$house/sim_plant/packages.sh"

scenario=design_storm
speed=1000
usage="usage: bash sim_plant/demo.sh [--scenario NAME] [--speed N|max]"
while [ $# -gt 0 ]; do
    case $1 in
        --scenario | --speed)
            [ $# -ge 2 ] || { echo "demo: $1 needs a value; $usage" >&2; exit 2; }
            if [ "$1" = --speed ]; then speed=$2; else scenario=$2; fi
            shift 2
            ;;
        --help | -h) sed -n '2,10s/^# \{0,1\}//p' "${BASH_SOURCE[0]}"; exit 0 ;;
        *) echo "demo: there is no option '$1'; $usage" >&2; exit 2 ;;
    esac
done
case $speed in
    max) ;;
    '' | 0 | *[!0-9.]* | *.*.*) echo "demo: '$speed' is not a speed; expected a number above 0, or max" >&2; exit 2 ;;
esac
scenario_file=$house/config/scenarios/$scenario.toml
if [ ! -e "$scenario_file" ]; then
    echo "demo: there is no scenario '$scenario'; the known scenarios are $(cd "$house/config/scenarios" && echo *.toml | sed 's/\.toml//g')" >&2
    exit 2
fi
# A path that the scenario names, relative to the folder of the scenario.
named_in_scenario() { echo "$house/config/scenarios/$(sed -n "s/^$1 *= *\"\(.*\)\".*/\1/p" "$scenario_file" | head -n 1)"; }
station_file=$(named_in_scenario station)
map_file=$(named_in_scenario field_map)

install_missing "${build_packages[@]}" || exit 3
echo "Building (a few minutes the first time)"
build=$house/build
mkdir -p "$build" || exit 3
if ! configure_and_build "$house" "$build" "-DCMAKE_BUILD_TYPE=RelWithDebInfo -DFRESHET_TESTS=OFF" \
        freshet freshet-plant freshet-controller > "$build/demo.log" 2>&1; then
    tail -n 40 "$build/demo.log" >&2
    exit 3
fi

record=$house/out/demo-$scenario-$(date -u +%Y%m%dT%H%M%SZ)
mkdir -p "$record" || exit 3

# The controller's port must be known before either process starts. The plant then takes any free port.
free_port() {
    local port
    for _ in $(seq 100); do
        port=$((20000 + RANDOM % 12000))
        (exec 3<> "/dev/tcp/127.0.0.1/$port") 2> /dev/null || { echo "$port"; return 0; }
    done
    return 1
}
advice_port=$(free_port) || { echo "demo: no free port on loopback" >&2; exit 3; }

# Both processes receive SIGINT from the terminal and end in order. A shell that traps the signal keeps waiting.
interrupted=""
trap 'interrupted=yes' INT TERM
plant_pid="" controller_pid=""
end_children() {
    local pid
    for pid in $plant_pid $controller_pid; do kill -TERM "$pid" 2> /dev/null; done
    wait
}
trap end_children EXIT

# wait_for PID: waits through any number of interruptions and gives the exit code of the process.
wait_for() {
    local code
    while :; do
        wait "$1"
        code=$?
        kill -0 "$1" 2> /dev/null || return "$code"
    done
}

"$build/sim_plant/freshet-plant" --scenario "$scenario_file" --lockstep --speed "$speed" --listen 127.0.0.1:0 \
    --advice "127.0.0.1:$advice_port" --live --out "$record/station" > "$record/plant.out" &
plant_pid=$!
plant_port=
for _ in $(seq 200); do
    plant_port=$(sed -n 's/.*"listening":"measurements".*"port":\([0-9]*\).*/\1/p' "$record/plant.out")
    [ -n "$plant_port" ] && break
    kill -0 "$plant_pid" 2> /dev/null || break
    sleep 0.05
done
if [ -z "$plant_port" ]; then
    echo "demo: the plant did not start" >&2
    exit 3
fi
"$build/controller/freshet-controller" --station "$station_file" --field-map "$map_file" --lockstep \
    --plant "127.0.0.1:$plant_port" --listen "127.0.0.1:$advice_port" --out "$record/controller" \
    > "$record/controller.out" 2> "$record/controller.log" &
controller_pid=$!
echo "Plant on port $plant_port, controller's advice on port $advice_port, both on loopback. Ctrl-C ends the run early."

wait_for "$plant_pid"
plant_code=$?
plant_pid=
if [ -n "$interrupted" ] || [ "$plant_code" -ne 0 ]; then kill -TERM "$controller_pid" 2> /dev/null; fi
wait_for "$controller_pid"
controller_code=$?
controller_pid=
rm -f "$record/plant.out" "$record/controller.out"

figure() { sed -n "s/^  \"$1\": \"\{0,1\}\([^\",]*\)\"\{0,1\},\{0,1\}\$/\1/p" "$record/station/summary.json"; }
# A figure of the summary with a number of decimals. An unknown figure stays null.
rounded() {
    local value
    value=$(figure "$1")
    if [ "$value" = null ]; then echo null; else LC_ALL=C printf "%.$2f" "$value"; fi
}
echo
if [ -e "$record/station/summary.json" ]; then
    [ -n "$interrupted" ] && echo "Interrupted. Summary of the run until then:"
    printf '  %-26s %s\n' scenario "$(figure scenario)" station "$(figure station)" \
        'simulated, s' "$(rounded simulated_s 0)" 'wall time, s' "$(rounded wall_s 1)" \
        'highest level, m' "$(rounded level_max_m 2)" 'lowest level, m' "$(rounded level_min_m 2)" \
        'overflow, m3' "$(rounded overflow_m3 1)" 'pumped, m3' "$(rounded pumped_m3 0)" \
        'energy, kWh' "$(rounded energy_kwh 0)" \
        'hand-overs' "$(figure hand_overs)" 'take-backs' "$(figure take_backs)" 'line starts' "$(figure line_starts)" \
        'most starts in an hour' "$(figure starts_per_hour_max)" 'longest overlap, ms' "$(rounded overlap_ms_max 0)" \
        'largest closing angle, deg' "$(rounded closing_angle_deg_max 1)"
fi
echo "Record of this run: $record"
echo "  station/report.html       level, flows, speed and pump lanes: open it in a browser"
echo "  controller/journal.jsonl  every decision and its reason. The next line explains an instant in sentences:"
echo "  $build/sim_plant/freshet explain $record/controller/journal.jsonl --at 12:00"
echo "This station is simulated. Medium-voltage equipment kills."
"$build/sim_plant/freshet" --help | tail -n 1

if [ -n "$interrupted" ]; then exit 0; fi
if [ "$plant_code" -ne 0 ] || [ "$controller_code" -ne 0 ]; then
    echo "demo: the plant ended with code $plant_code, the controller with $controller_code:" >&2
    tail -n 5 "$record/controller.log" >&2
    exit 3
fi
