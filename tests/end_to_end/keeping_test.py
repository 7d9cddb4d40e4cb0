"""A controller that is killed and restarted: kept data, messages to a service manager, and orders about alarms."""

import contextlib
import json
import os
import pathlib
import re
import shutil
import signal
import socket
import sqlite3
import subprocess
import tempfile
import time
import unittest

import processes as p


class EndToEnd(unittest.TestCase):
    def setUp(self):
        self.folder = pathlib.Path(tempfile.mkdtemp(prefix="freshet-"))
        self.addCleanup(shutil.rmtree, self.folder)


def ask_file(path, question):
    """Reads a kept file with an independent reader."""
    with contextlib.closing(sqlite3.connect(path)) as base:
        return base.execute(question).fetchall()


class Kept(EndToEnd):
    def figures(self, advice):
        return [[advice.raw(f"pump_{pump}.{what}") for what in ("run_time", "starts", "starts_last_hour")] for pump in range(1, 5)]

    def holds(self, kept, shown):
        """Whether a copy of the file has these hours and starts. A copy made during a write may be damaged: then false."""
        copy = self.folder / "copy.sqlite"
        try:
            for end in ("", "-wal"):
                shutil.copyfile(f"{kept}{end}", f"{copy}{end}")
            pumps = ask_file(copy, "SELECT run_ms, starts FROM pump ORDER BY pump")
        except (OSError, sqlite3.DatabaseError):
            return False
        return len(pumps) == len(shown) and all(
            run_ms >= 60000 * run_min - 30000 and starts >= starts_shown
            for (run_ms, starts), (run_min, starts_shown, _) in zip(pumps, shown))

    def test_hours_and_starts_continue_after_the_controller_was_killed_several_times(self):
        advice_port = p.free_port()
        kept = self.folder / "kept.sqlite"
        with p.plant("--speed", "200", advice_port=advice_port) as plant:
            plant.wait_until_listening()
            before, recent = [[0, 0, 0]] * 4, []
            for _ in range(4):
                with p.controller("--keep", kept, plant_port=plant.port, port=advice_port) as controller:
                    controller.wait_until_listening()
                    with p.AdviceClient(advice_port) as advice:
                        p.until(lambda: advice.raw("advice.scan_first") > 0, "a scan")
                        found = self.figures(advice)
                        for pump in range(4):
                            self.assertGreaterEqual(found[pump][0], before[pump][0] - 1, "at most half a minute of running hours may be lost")
                            self.assertGreaterEqual(found[pump][1], before[pump][1], "no start may be lost")
                        hour_ago_ms = advice.raw("station_time") - 3600000
                        for pump, figures in enumerate(self.figures(advice), 1):
                            within = sum(1 for whose, at_ms in recent if whose == pump and at_ms > hour_ago_ms)
                            self.assertGreaterEqual(figures[2], within, "no start within the hour may be lost")
                        p.until(lambda: sum(f[0] for f in self.figures(advice)) > sum(f[0] for f in found) + 4, "pumps have run")
                        before = self.figures(advice)
                    p.until(lambda: self.holds(kept, before), "the file has the published hours and starts")
                    controller.process.kill()
                    controller.process.wait()
                self.assertEqual(ask_file(kept, "PRAGMA integrity_check"), [("ok",)])
                recent = ask_file(kept, "SELECT pump, at_ms FROM recent WHERE pump > 0")
                for pump, run_ms, starts in ask_file(kept, "SELECT pump, run_ms, starts FROM pump ORDER BY pump"):
                    self.assertGreaterEqual(run_ms, 60000 * before[pump - 1][0] - 30000, "the file still has its hours after the kill")
                    self.assertGreaterEqual(starts, before[pump - 1][1])
            self.assertGreater(len(recent), 0, "a run without a start proves nothing")

    def test_an_orderly_end_keeps_the_last_scan(self):
        advice_port = p.free_port()
        kept = self.folder / "kept.sqlite"
        with p.plant("--speed", "20", advice_port=advice_port) as plant:
            plant.wait_until_listening()
            with p.controller("--keep", kept, "--out", self.folder / "out", plant_port=plant.port, port=advice_port) as controller:
                controller.wait_until_listening()
                p.until(lambda: "advice is valid" in plant.text(), "the plant follows the advice")
                controller.ask_to_stop()
                self.assertEqual(controller.end(), 0, controller.text())
        self.assertFalse((self.folder / "kept.sqlite-wal").exists(), "an orderly end leaves no write-ahead log")
        [(name, pumps, seen_ms)] = ask_file(kept, "SELECT name, pumps, seen_ms FROM station")
        self.assertEqual(pumps, 4)
        self.assertEqual(name, json.loads((self.folder / "out/summary.json").read_text())["station"])
        self.assertGreater(seen_ms, 0)

    def refused(self, kept, needle, **more):
        with p.controller("--keep", kept, plant_port=1, **more) as controller:
            self.assertEqual(controller.end(), 2, controller.text())
            self.assertEqual(controller.process.stdout.read(), b"", "a refused program reports no port")
            self.assertIn(needle, controller.text())

    def test_a_file_that_cannot_be_trusted_is_refused_and_stays_unchanged(self):
        broken = self.folder / "broken"
        broken.write_bytes(b"spoiled" * 1000)
        self.refused(broken, "is not a kept file")
        self.assertEqual(broken.read_bytes(), b"spoiled" * 1000)
        self.refused(self.folder / "nowhere/kept", "unable to open")

    def test_a_file_of_another_station_or_of_a_newer_program_is_refused(self):
        kept = self.folder / "kept"
        with p.controller("--keep", kept, plant_port=p.free_port()) as controller:
            controller.wait_until_listening()
            self.refused(kept, "in use by another program")
            controller.ask_to_stop()
            self.assertEqual(controller.end(), 0)
        other = self.folder / "other.toml"
        text = p.STATION.read_text()
        name = next(line for line in text.splitlines() if line.startswith("name"))
        other.write_text(text.replace(name, 'name = "Another invented station"'))
        self.refused(kept, "'Another invented station'", station=other)
        ask_file(kept, "PRAGMA user_version = 99")
        self.refused(kept, "newer Freshet")


class Manager:
    """Plays the service manager: a datagram socket, and the environment that names it."""

    def __init__(self, name, watchdog_s=None):
        self.socket = socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM)
        self.socket.bind(name.replace("@", "\0", 1))
        self.socket.setblocking(False)
        self.heard = []
        self.environment = {**os.environ, "NOTIFY_SOCKET": name}
        if watchdog_s is not None:
            self.environment["WATCHDOG_USEC"] = str(int(watchdog_s * 1e6))

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.socket.close()

    def listen(self):
        """Receives the waiting messages. Returns all messages since the beginning."""
        while True:
            try:
                self.heard.append(self.socket.recv(4096).decode())
            except BlockingIOError:
                return self.heard

    def fed(self):
        return self.listen().count("WATCHDOG=1")


def managed_controller(manager, *more, **where):
    """A controller with the manager's environment."""
    saved = dict(os.environ)
    os.environ.update(manager.environment)
    try:
        return p.controller(*more, **where)
    finally:
        os.environ.clear()
        os.environ.update(saved)


class Service(EndToEnd):
    def test_a_manager_receives_a_start_the_status_and_an_orderly_end(self):
        advice_port = p.free_port()
        with Manager(str(self.folder / "notify"), watchdog_s=2) as manager, p.plant("--speed", "20", advice_port=advice_port) as plant:
            plant.wait_until_listening()
            with managed_controller(manager, plant_port=plant.port, port=advice_port) as controller:
                controller.wait_until_listening()
                p.until(lambda: "READY=1" in manager.listen(), "the controller reports READY")
                p.until(lambda: any(re.match(r"STATUS=measured value -?[0-9.]+ m \((good|uncertain: \D+|bad: \D+)\), ", text) for text in manager.listen()), "the controller reports its status")
                p.until(lambda: manager.fed() > 3, "the controller feeds the watchdog")
                controller.ask_to_stop()
                self.assertEqual(controller.end(), 0, controller.text())
                self.assertEqual(manager.listen()[-1], "STOPPING=1")
                self.assertEqual(manager.heard.count("READY=1"), 1)

    def test_a_controller_that_never_saw_its_station_is_not_ready_but_extends_the_time_out(self):
        name = f"@freshet-{os.getpid()}-{time.monotonic_ns()}"
        site = self.folder / "site.toml"
        site.write_text(without_plant_time(p.FIELD_MAP.read_text()))
        with Manager(name, watchdog_s=2) as manager:
            with managed_controller(manager, "--response-ms", "100", plant_port=p.free_port(), field_map=site) as controller:
                controller.wait_until_listening()
                p.until(lambda: any(text.startswith("EXTEND_TIMEOUT_USEC=") for text in manager.listen()), "the controller extends the time-out")
                with p.AdviceClient(controller.port) as advice:
                    p.until(lambda: advice.raw("advice.scan_first") > 20, "the controller scans")
                self.assertNotIn("READY=1", manager.listen())
                self.assertEqual(manager.fed(), 0)

    def test_the_watchdog_is_not_fed_when_the_scans_stop_although_the_process_keeps_running(self):
        advice_port = p.free_port()
        name = f"@freshet-{os.getpid()}-{time.monotonic_ns()}"
        with Manager(name, watchdog_s=0.4) as manager, p.plant("--lockstep", "--speed", "20", advice_port=advice_port) as plant:
            plant.wait_until_listening()
            with managed_controller(manager, "--lockstep", "--stall-ms", "60000", "--response-ms", "60000", plant_port=plant.port,
                                    port=advice_port) as controller:
                controller.wait_until_listening()
                p.until(lambda: manager.fed() > 3, "the controller feeds the watchdog")
                # With the plant stopped, lockstep has no further instant to scan. The controller's process keeps running.
                plant.process.send_signal(signal.SIGSTOP)
                try:
                    with p.AdviceClient(advice_port) as advice:
                        self.wait_until_scans_stop(advice)
                        scans, fed = advice.raw("advice.scan_first"), manager.fed()
                        p.select_nothing(2)
                        self.assertEqual(advice.raw("advice.scan_first"), scans, "the controller answers, but does not scan")
                        self.assertEqual(manager.fed(), fed, "the watchdog gets no food for five periods")
                finally:
                    plant.process.send_signal(signal.SIGCONT)
                p.until(lambda: manager.fed() > fed, "the next scan feeds the watchdog")

    def wait_until_scans_stop(self, advice):
        last = [-1]

        def stopped():
            now = advice.raw("advice.scan_first")
            same, last[0] = now == last[0], now
            p.select_nothing(0.2)
            return same

        p.until(stopped, "the scans stop")

    def test_a_missing_manager_has_no_effect(self):
        with Manager(str(self.folder / "notify")) as manager:
            pass
        (self.folder / "notify").unlink()
        with managed_controller(manager, plant_port=p.free_port()) as controller:
            controller.wait_until_listening()
            controller.ask_to_stop()
            self.assertEqual(controller.end(), 0)
            self.assertEqual(controller.text().count("error"), 0, controller.text())


def without_plant_time(text):
    """A field map of a site, which has no clock of a bench."""
    return "\n".join(line for line in text.splitlines() if '"plant_time"' not in line)


# The emergency stop is operated long enough after the start of the run for a controller to have joined, and then released.
STOPPED_FOR_A_MOMENT = """
[[fault]]
begins = "200 s"
lasts = "100 s"
device = "emergency_stop"
kind = "emergency_stop"
"""


def ask_file_copy(folder, question):
    """Reads a copy of the kept file, because the controller has locked the file. A copy made during a write may be damaged."""
    copy = folder / "copy.sqlite"
    try:
        for end in ("", "-wal"):
            shutil.copyfile(f"{folder / 'kept'}{end}", f"{copy}{end}")
        return ask_file(copy, question)
    except (OSError, sqlite3.DatabaseError):
        return None


class Attended(EndToEnd):
    def test_orders_list_shelve_and_acknowledge_alarms(self):
        advice_port = p.free_port()
        kept = self.folder / "kept"
        with tempfile.TemporaryFile() as said:
            command = [p.CONTROLLER, "--station", p.STATION, "--field-map", p.FIELD_MAP, "--listen", f"127.0.0.1:{advice_port}",
                       "--attend", "--keep", kept, "--out", self.folder / "out"]
            with p.plant("--speed", "20", "--instructor", advice_port=advice_port) as plant:
                plant.wait_until_listening()
                attended = subprocess.Popen([str(a) for a in (*command, "--plant", f"127.0.0.1:{plant.port}")],
                                            stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=said)
                try:
                    attended.stdout.readline()
                    self.answered(attended, said, b"list\n", "every alarm is normal")
                    self.answered(attended, said, b"shelve drive_tripped 30\n", "drive_tripped: shelved for 30 minutes")
                    self.answered(attended, said, b"list\n", "drive_tripped: shelved (drive tripped)")
                    self.answered(attended, said, b"shelve high_float 30\n", "high_float has high priority")
                    self.answered(attended, said, b"shelve drive_triped 30\n",
                                  "there is no alarm 'drive_triped'; `freshet alarms` lists the alarms; an alarm of a pump is written "
                                  'pump_1.tripped; nearest known alarm "drive_tripped"')
                    self.answered(attended, said, b"shelve supply 9999\n", "expected 1 to 480 minutes")
                    self.answered(attended, said, b"start pump_1\n", "'start pump_1' is not an order")
                    self.answered(attended, said, b"out_of_service pump_2.seal_leak\n", "pump_2.seal_leak: out of service")
                    self.answered(attended, said, b"acknowledge all\n", "all: nothing to acknowledge")
                    # A line that is too long is refused as a whole, although its end would be an order.
                    self.answered(attended, said, 4000 * b"x" + b"\n", "a line of more than 200 characters is not an order")
                    self.answered(attended, said, 4000 * b" " + b"unshelve drive_tripped\n", "is not an order; nothing was done")
                    self.answered(attended, said, b"list\n", "drive_tripped: shelved (drive tripped)")
                    self.read_marks(advice_port)
                    attended.send_signal(signal.SIGTERM)
                    self.assertEqual(attended.wait(p.LIMIT_S), 0)
                finally:
                    attended.kill()
                    attended.wait()
                    attended.stdin.close()
                    attended.stdout.close()
        alarms = ask_file(kept, "SELECT pump, name, out_of_service, shelved_until_ms IS NOT NULL FROM alarm ORDER BY pump")
        self.assertIn((0, "drive_tripped", 0, 1), alarms)
        self.assertIn((2, "seal_leak", 1, 0), alarms)
        journal = (self.folder / "out/journal.jsonl").read_text()
        self.assertIn("alarm_shelved", journal)

    def test_a_reset_is_awaited_over_a_restart_and_the_order_of_a_person_ends_the_wait(self):
        scenario = self.folder / "stopped.toml"
        scenario.write_text(p.scenario_elsewhere(p.FIELD_MAP) + STOPPED_FOR_A_MOMENT)
        advice_port = p.free_port()
        command = [p.CONTROLLER, "--station", p.STATION, "--field-map", p.FIELD_MAP, "--listen", f"127.0.0.1:{advice_port}",
                   "--attend", "--keep", self.folder / "kept"]
        with tempfile.TemporaryFile() as said, p.plant("--speed", "20", advice_port=advice_port, scenario=scenario) as plant:
            plant.wait_until_listening()
            for restarted in (False, True):
                attended = subprocess.Popen([str(a) for a in (*command, "--plant", f"127.0.0.1:{plant.port}")],
                                            stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=said)
                try:
                    attended.stdout.readline()
                    with p.AdviceClient(advice_port) as advice:
                        p.until(lambda: advice.raw("station_alarms") >> self.alarm_bit("reset_awaited") & 1, "a reset is awaited")
                    self.answered(attended, said, b"list\n", "reset_awaited: active")
                    if restarted:
                        self.answered(attended, said, b"reset\n", "reset: done, pumps may start")
                        self.answered(attended, said, b"reset\n", "reset: nothing to reset")
                    p.until(lambda: ask_file_copy(self.folder, "SELECT reset_awaited FROM station") == [(0 if restarted else 1,)],
                            "the file keeps the reset")
                    attended.kill()
                finally:
                    attended.kill()
                    attended.wait()
                    attended.stdin.close()
                    attended.stdout.close()

    def alarm_bit(self, name):
        """The place of an alarm of the station, in the order of `freshet alarms`."""
        lines = p.run(p.FRESHET, "alarms", "--csv").stdout.splitlines()[1:]
        return [line.split(",")[0].strip('"') for line in lines].index(name)

    def read_marks(self, advice_port):
        """The shelved and removed alarms, read by an independent client. The bits have the order of `freshet alarms`."""
        names = [line.split(",")[0].strip('"') for line in p.run(p.FRESHET, "alarms", "--csv").stdout.splitlines()[1:]]
        of_pump = [name.removeprefix("pump_N.") for name in names if name.startswith("pump_N.")]
        with p.AdviceClient(advice_port) as advice:
            self.assertEqual(advice.raw("station_alarms_shelved"), 1 << names.index("drive_tripped"))
            self.assertEqual(advice.raw("pump_2.alarms_out_of_service"), 1 << of_pump.index("seal_leak"))
            self.assertEqual(advice.raw("pump_1.alarms_out_of_service"), 0)

    def answered(self, attended, said, line, needle):
        said.seek(0, os.SEEK_END)
        begin = said.tell()
        attended.stdin.write(line)
        attended.stdin.flush()

        def text():
            return os.pread(said.fileno(), 1 << 20, begin).decode()

        p.until(lambda: needle in text(), f"'{needle}' after {line!r}; the controller printed {text()!r}", 20)


if __name__ == "__main__":
    unittest.main(verbosity=2)
