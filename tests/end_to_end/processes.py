"""Starts the real programs on loopback and reads them with independent clients.

Programs are found through the environment: FRESHET_CONTROLLER, FRESHET_PLANT, FRESHET (the command line), FRESHET_SOURCE.
Every wait has a limit in wall time; nothing sleeps to let something happen.
"""

import json
import os
import pathlib
import selectors
import signal
import socket
import subprocess
import tempfile
import time

from pymodbus.client import ModbusTcpClient

SOURCE = pathlib.Path(os.environ["FRESHET_SOURCE"])
CONTROLLER = os.environ["FRESHET_CONTROLLER"]
PLANT = os.environ["FRESHET_PLANT"]
FRESHET = os.environ["FRESHET"]
LIMIT_S = float(os.environ.get("FRESHET_TEST_LIMIT_S", "120"))

STATION = SOURCE / "config/stations/demo.toml"
FIELD_MAP = SOURCE / "config/field_maps/demo.toml"
SCENARIO = SOURCE / "config/scenarios/cloudburst.toml"


def free_port():
    """A port that was free a moment ago. Two programs that must know each other's port cannot both use port 0."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def until(condition, what, limit_s=LIMIT_S):
    """Repeats `condition()` until it is true, and returns its value."""
    end = time.monotonic() + limit_s
    while time.monotonic() < end:
        value = condition()
        if value:
            return value
        select_nothing(0.01)
    raise AssertionError(f"not within {limit_s} s: {what}")


def select_nothing(seconds):
    selectors.DefaultSelector().select(seconds)


class Program:
    """A running program of this house. `with` ends the program in every case."""

    def __init__(self, *arguments):
        self.errors = tempfile.TemporaryFile()
        self.process = subprocess.Popen([str(a) for a in arguments], stdout=subprocess.PIPE, stderr=self.errors)
        self.port = None

    def __enter__(self):
        return self

    def __exit__(self, *_):
        if self.process.poll() is None:
            self.process.kill()
        self.process.wait()
        self.process.stdout.close()
        self.errors.close()

    def wait_until_listening(self):
        """Reads the machine-readable line and keeps the port."""
        with selectors.DefaultSelector() as ready:
            ready.register(self.process.stdout, selectors.EVENT_READ)
            if not ready.select(LIMIT_S):
                raise AssertionError("no line with the port")
        line = self.process.stdout.readline()
        if not line:
            raise AssertionError(f"ended before it listened: {self.text()}")
        self.port = json.loads(line)["port"]
        return self

    def end(self, limit_s=LIMIT_S):
        return self.process.wait(limit_s)

    def ask_to_stop(self, what=signal.SIGTERM):
        self.process.send_signal(what)

    def text(self):
        """All lines on standard error so far."""
        self.errors.seek(0)
        return self.errors.read().decode()


def controller(*more, plant_port, port=0, station=STATION, field_map=FIELD_MAP):
    return Program(CONTROLLER, "--station", station, "--field-map", field_map, "--plant", f"127.0.0.1:{plant_port}",
                   "--listen", f"127.0.0.1:{port}", *more)


def plant(*more, advice_port, port=0, scenario=SCENARIO):
    return Program(PLANT, "--scenario", scenario, "--advice", f"127.0.0.1:{advice_port}", "--listen",
                   f"127.0.0.1:{port}", "--quiet", *more)


def run(*arguments, limit_s=LIMIT_S):
    """Runs a program to its end."""
    return subprocess.run([str(a) for a in arguments], capture_output=True, text=True, timeout=limit_s, check=False)


def scenario_elsewhere(field_map, scenario=SCENARIO):
    """The text of the scenario for a file in another folder, with another field map."""
    text = scenario.read_text()
    for folder in ("stations", "storms"):
        text = text.replace(f"../{folder}/", f"{SOURCE}/config/{folder}/")
    return text.replace("../field_maps/demo.toml", str(field_map))


class AdviceClient:
    """Reads the advice map with pymodbus, by the names of the printed map."""

    def __init__(self, port):
        printed = run(FRESHET, "registers", "--csv")
        lines = printed.stdout.splitlines()
        heading = lines[0].split(",")
        self.rows = {}
        for line in lines[1:]:
            row = dict(zip(heading, line.split(",", len(heading) - 1)))
            self.rows[row["name"]] = row
        self.client = ModbusTcpClient("127.0.0.1", port=port, timeout=5)
        if not self.client.connect():
            raise AssertionError("no connection to the advice server")

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.client.close()

    def words(self, name):
        row = self.rows[name]
        answer = self.client.read_input_registers(int(row["address"]), int(row["registers"]), slave=1)
        if answer.isError():
            raise AssertionError(f"{name}: {answer}")
        return answer.registers

    def raw(self, name):
        value = 0
        for word in self.words(name):
            value = value << 16 | word
        return value


def lockstep_pair(seconds, record, *, scenario=SCENARIO, field_map=None, station=STATION, speed="max"):
    """Runs plant and controller in lockstep to the end. Returns the exit codes and the printed lines of both."""
    map_option = ["--field-map", field_map] if field_map else []
    advice_port = free_port()
    with plant("--lockstep", "--speed", speed, "--duration-s", str(seconds), "--out", record / "plant", *map_option,
               advice_port=advice_port, scenario=scenario) as station_program:
        station_program.wait_until_listening()
        with controller("--lockstep", "--out", record / "controller", plant_port=station_program.port, port=advice_port,
                        station=station, field_map=field_map or FIELD_MAP) as advising:
            advising.wait_until_listening()
            codes = station_program.end(), advising.end()
            return codes, station_program.text() + advising.text()
