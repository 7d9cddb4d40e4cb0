"""A controller that is killed, restarted, watched and attended: kept data, notices to a service manager, alarms by lines."""

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
    """What a kept file says to an independent reader."""
    with contextlib.closing(sqlite3.connect(path)) as base:
        return base.execute(question).fetchall()


class Kept(EndToEnd):
    def figures(self, advice):
        return [[advice.raw(f"pump_{pump}.{what}") for what in ("run_time", "starts", "starts_last_hour")] for pump in range(1, 5)]

    def holds(self, kept, shown):
        """Whether a copy of the file, taken while the controller writes it, has these hours and starts; a torn copy has not."""
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

    def test_hours_and_starts_go_on_after_the_controller_was_killed_again_and_again(self):
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
                            self.assertGreaterEqual(found[pump][0], before[pump][0] - 1, "hours are not forgotten, but for half a minute")
                            self.assertGreaterEqual(found[pump][1], before[pump][1], "starts are not forgotten")
                        hour_ago_ms = advice.raw("station_time") - 3600000
                        for pump, figures in enumerate(self.figures(advice), 1):
                            within = sum(1 for whose, at_ms in recent if whose == pump and at_ms > hour_ago_ms)
                            self.assertGreaterEqual(figures[2], within, "nor are the starts within the hour")
                        p.until(lambda: sum(f[0] for f in self.figures(advice)) > sum(f[0] for f in found) + 4, "pumps that ran")
                        before = self.figures(advice)
                    p.until(lambda: self.holds(kept, before), "a file that has what was shown")
                    controller.process.kill()
                    controller.process.wait()
                self.assertEqual(ask_file(kept, "PRAGMA integrity_check"), [("ok",)])
                recent = ask_file(kept, "SELECT pump, at_ms FROM recent WHERE pump > 0")
                for pump, run_ms, starts in ask_file(kept, "SELECT pump, run_ms, starts FROM pump ORDER BY pump"):
                    self.assertGreaterEqual(run_ms, 60000 * before[pump - 1][0] - 30000, "what the file had is there after the kill")
                    self.assertGreaterEqual(starts, before[pump - 1][1])
            self.assertGreater(len(recent), 0, "without a start nothing would be proven")

    def test_an_orderly_end_keeps_the_last_scan(self):
        advice_port = p.free_port()
        kept = self.folder / "kept.sqlite"
        with p.plant("--speed", "20", advice_port=advice_port) as plant:
            plant.wait_until_listening()
            with p.controller("--keep", kept, "--out", self.folder / "out", plant_port=plant.port, port=advice_port) as controller:
                controller.wait_until_listening()
                p.until(lambda: "advice is valid" in plant.text(), "advice that is followed")
                controller.ask_to_stop()
                self.assertEqual(controller.end(), 0, controller.text())
        self.assertFalse((self.folder / "kept.sqlite-wal").exists(), "nothing is left to be taken up")
        [(name, pumps, seen_ms)] = ask_file(kept, "SELECT name, pumps, seen_ms FROM station")
        self.assertEqual(pumps, 4)
        self.assertEqual(name, json.loads((self.folder / "out/summary.json").read_text())["station"])
        self.assertGreater(seen_ms, 0)

    def refused(self, kept, needle, **more):
        with p.controller("--keep", kept, plant_port=1, **more) as controller:
            self.assertEqual(controller.end(), 2, controller.text())
            self.assertEqual(controller.process.stdout.read(), b"", "nothing is half-started")
            self.assertIn(needle, controller.text())

    def test_a_file_that_cannot_be_trusted_is_refused_and_left_alone(self):
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
        """Takes what has come; returns all that was ever heard."""
        while True:
            try:
                self.heard.append(self.socket.recv(4096).decode())
            except BlockingIOError:
                return self.heard

    def fed(self):
        return self.listen().count("WATCHDOG=1")


def managed_controller(manager, *more, **where):
    """A controller that was given the manager's environment."""
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
                p.until(lambda: "READY=1" in manager.listen(), "that it is ready")
                p.until(lambda: any(re.match(r"STATUS=measured value -?[0-9.]+ m \((good|uncertain: \D+|bad: \D+)\), ", text) for text in manager.listen()), "a status")
                p.until(lambda: manager.fed() > 3, "a watchdog that is fed")
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
                p.until(lambda: any(text.startswith("EXTEND_TIMEOUT_USEC=") for text in manager.listen()), "patience")
                with p.AdviceClient(controller.port) as advice:
                    p.until(lambda: advice.raw("advice.scan_first") > 20, "scans")
                self.assertNotIn("READY=1", manager.listen())
                self.assertEqual(manager.fed(), 0)

    def test_the_watchdog_starves_when_scans_stop_although_the_process_keeps_running(self):
        advice_port = p.free_port()
        name = f"@freshet-{os.getpid()}-{time.monotonic_ns()}"
        with Manager(name, watchdog_s=0.4) as manager, p.plant("--lockstep", "--speed", "20", advice_port=advice_port) as plant:
            plant.wait_until_listening()
            with managed_controller(manager, "--lockstep", "--stall-ms", "60000", "--response-ms", "60000", plant_port=plant.port,
                                    port=advice_port) as controller:
                controller.wait_until_listening()
                p.until(lambda: manager.fed() > 3, "a watchdog that is fed")
                # The plant is held: in lockstep there is then no further instant to scan. The controller itself runs.
                plant.process.send_signal(signal.SIGSTOP)
                try:
                    with p.AdviceClient(advice_port) as advice:
                        self.wait_until_it_stands(advice)
                        scans, fed = advice.raw("advice.scan_first"), manager.fed()
                        p.select_nothing(2)
                        self.assertEqual(advice.raw("advice.scan_first"), scans, "it answers, but scans no more")
                        self.assertEqual(manager.fed(), fed, "five periods without food")
                finally:
                    plant.process.send_signal(signal.SIGCONT)
                p.until(lambda: manager.fed() > fed, "food again with the next scan")

    def wait_until_it_stands(self, advice):
        last = [-1]

        def stopped():
            now = advice.raw("advice.scan_first")
            same, last[0] = now == last[0], now
            p.select_nothing(0.2)
            return same

        p.until(stopped, "scans that stopped")

    def test_a_missing_manager_does_not_matter(self):
        with Manager(str(self.folder / "notify")) as manager:
            pass
        (self.folder / "notify").unlink()
        with managed_controller(manager, plant_port=p.free_port()) as controller:
            controller.wait_until_listening()
            controller.ask_to_stop()
            self.assertEqual(controller.end(), 0)
            self.assertEqual(controller.text().count("error"), 0, controller.text())


def without_plant_time(text):
    """A field map as a site has it: no clock of a bench."""
    return "\n".join(line for line in text.splitlines() if '"plant_time"' not in line)


class Attended(EndToEnd):
    def test_alarms_are_listed_shelved_and_acknowledged_by_lines(self):
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
                    # What is too long is refused whole, wherever it is cut; its end is an order by itself.
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

    def read_marks(self, advice_port):
        """What was set aside, by an independent client; the bits are those of `freshet alarms`, in order."""
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

        p.until(lambda: needle in text(), f"'{needle}' after {line!r}; it said {text()!r}", 20)


if __name__ == "__main__":
    unittest.main(verbosity=2)
