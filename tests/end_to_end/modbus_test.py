"""Plant and controller as real processes over real sockets: lockstep, independent clients, loss and return, bad input."""

import json
import pathlib
import shutil
import signal
import subprocess
import tempfile
import unittest

import processes as p


# Every kind of bad link while pumps start and stop: lost for a long time, lost for a moment, slow, too slow for any reader,
# every other answer garbled, every answer garbled.
BAD_LINK = "".join(
    f"""
[[fault]]
begins = "{begins} s"
lasts = "{lasts} s"
device = "link"
kind = "{kind}"
{f'amount = "{amount}"' if amount else ""}
""" for begins, lasts, kind, amount in (
        (305.2, 90, "link_lost", None), (700, 0.4, "link_lost", None), (1190.3, 240, "link_slow", "0.45 s"),
        (1300, 40, "link_slow", "0.9 s"), (1600, 30, "link_slow", "2 s"), (1900.1, 120, "link_garbled", "50 %"),
        (2200, 20, "link_garbled", "100 %")))


class EndToEnd(unittest.TestCase):
    def setUp(self):
        self.folder = pathlib.Path(tempfile.mkdtemp(prefix="freshet-"))
        self.addCleanup(shutil.rmtree, self.folder)


class InLockstep(EndToEnd):
    def in_one_process(self, seconds, scenario=p.SCENARIO):
        out = self.folder / "one_process"
        done = p.run(p.FRESHET, "run", scenario, "--hours", str(seconds / 3600), "--out", out, "--quiet")
        self.assertEqual(done.returncode, 0, done.stderr)
        return (out / "journal.jsonl").read_bytes()


class LockstepOverABadLink(InLockstep):
    def test_gives_the_same_journal_while_the_link_is_lost_slow_and_garbled(self):
        for name in ("demo", "scattered"):
            with self.subTest(field_map=name):
                field_map = p.SOURCE / f"config/field_maps/{name}.toml"
                scenario = self.folder / f"bad_link_{name}.toml"
                scenario.write_text(p.scenario_elsewhere(field_map) + BAD_LINK)
                seconds = 3000
                codes, said = p.lockstep_pair(seconds, self.folder / name, scenario=scenario, field_map=field_map)
                self.assertEqual(codes, (0, 0), said)
                journal = (self.folder / name / "controller/journal.jsonl").read_bytes()
                self.assertIn(b"link_lost", journal, "the controller must notice that the link is lost")
                self.assertEqual(journal, self.in_one_process(seconds, scenario))
                faults = (self.folder / name / "plant/faults.jsonl").read_bytes()
                self.assertEqual(faults.count(b"\n"), 16, "seven faults begin and end, and one of them is interrupted by another")
                self.assertEqual(faults, (self.folder / "one_process/faults.jsonl").read_bytes())


class Lockstep(InLockstep):
    def test_gives_the_same_journal_byte_for_byte_as_one_process(self):
        seconds = 7200
        codes, said = p.lockstep_pair(seconds, self.folder)
        self.assertEqual(codes, (0, 0), said)
        over_modbus = (self.folder / "controller/journal.jsonl").read_bytes()
        self.assertGreater(over_modbus.count(b"\n"), 5, "a journal without events proves nothing")
        self.assertEqual(over_modbus, self.in_one_process(seconds))

    def test_gives_the_same_figures_of_the_plant_as_one_process(self):
        seconds = 3600
        codes, said = p.lockstep_pair(seconds, self.folder)
        self.assertEqual(codes, (0, 0), said)
        self.in_one_process(seconds)
        one = json.loads((self.folder / "one_process/summary.json").read_text())
        other = json.loads((self.folder / "plant/summary.json").read_text())
        for key in ("level_max_m", "level_min_m", "pumped_m3", "inflow_m3", "energy_kwh", "hand_overs", "starts_per_pump"):
            self.assertEqual(one[key], other[key], key)

    def test_gives_the_same_journal_with_a_map_scattered_over_units_tables_and_poll_groups(self):
        scattered = p.SOURCE / "config/field_maps/scattered.toml"
        scenario = self.folder / "scattered.toml"
        scenario.write_text(p.scenario_elsewhere(scattered))
        seconds = 900
        codes, said = p.lockstep_pair(seconds, self.folder, scenario=scenario, field_map=scattered)
        self.assertEqual(codes, (0, 0), said)
        self.assertEqual((self.folder / "controller/journal.jsonl").read_bytes(), self.in_one_process(seconds, scenario))

    def test_gives_the_same_journal_while_people_reset_after_an_emergency_stop(self):
        scenario = p.SOURCE / "config/scenarios/emergency_stop.toml"
        seconds = 3600
        codes, said = p.lockstep_pair(seconds, self.folder, scenario=scenario)
        self.assertEqual(codes, (0, 0), said)
        over_modbus = (self.folder / "controller/journal.jsonl").read_bytes()
        self.assertEqual(over_modbus, self.in_one_process(seconds, scenario))
        self.stops_and_restarts(over_modbus.decode(), "reset_at_controller")

    def test_gives_the_same_journal_while_people_press_the_reset_button_of_the_station(self):
        scenario = self.folder / "button.toml"
        text = p.scenario_elsewhere(p.FIELD_MAP, p.SOURCE / "config/scenarios/emergency_stop.toml")
        scenario.write_text(text.replace('action = "reset"', 'action = "press_reset"'))
        seconds = 3600
        codes, said = p.lockstep_pair(seconds, self.folder, scenario=scenario)
        self.assertEqual(codes, (0, 0), said)
        over_modbus = (self.folder / "controller/journal.jsonl").read_bytes()
        self.assertEqual(over_modbus, self.in_one_process(seconds, scenario))
        self.stops_and_restarts(over_modbus.decode(), "reset_at_station")

    def stops_and_restarts(self, journal, by):
        """The events of the emergency stop in their order: stop, early reset refused, release, reset, start."""
        events = [json.loads(line) for line in journal.splitlines()]
        marks = [(event["what"], event["detail"], event["why"]) for event in events]
        whats = [mark[0] for mark in marks]
        stop, refused, done = (whats.index(what) for what in ("protective_stop", "reset_refused", "emergency_stop_reset"))
        raised = next(i for i, mark in enumerate(marks) if mark[:2] == ("alarm_raised", "reset_awaited"))
        starts = [i for i, what in enumerate(whats) if what == "sequence_begun" and i > stop
                  and marks[i][1] in ("start_on_drive", "line_start")]
        self.assertLess(stop, refused)
        self.assertLess(refused, raised)
        self.assertLess(raised, done)
        self.assertLess(done, starts[0], "no pump starts before the reset")
        self.assertEqual(marks[done][2], by)

    def test_a_plant_without_a_controller_names_the_step_at_which_it_stalled(self):
        with p.plant("--lockstep", "--stall-ms", "300", advice_port=p.free_port()) as plant:
            plant.wait_until_listening()
            self.assertEqual(plant.end(), 3)
            self.assertIn("peer stalled at step 0", plant.text())

    def test_a_controller_whose_plant_is_killed_names_the_step_at_which_it_stalled(self):
        advice_port = p.free_port()
        with p.plant("--lockstep", "--speed", "max", advice_port=advice_port) as plant:
            plant.wait_until_listening()
            with p.controller("--lockstep", "--stall-ms", "300", plant_port=plant.port, port=advice_port) as controller:
                controller.wait_until_listening()
                with p.AdviceClient(advice_port) as advice:
                    p.until(lambda: advice.raw("advice.scan_first") > 10, "ten scans")
                plant.process.kill()
                self.assertEqual(controller.end(), 3)
                self.assertRegex(controller.text(), r"peer stalled at step \d\d+")


class Clients(EndToEnd):
    def test_two_independent_clients_read_every_register_and_cannot_write(self):
        advice_port = p.free_port()
        with p.plant("--speed", "20", advice_port=advice_port) as plant:
            plant.wait_until_listening()
            with p.controller(plant_port=plant.port, port=advice_port) as controller:
                controller.wait_until_listening()
                with p.AdviceClient(advice_port) as advice:
                    p.until(lambda: advice.raw("advice.scan_first") > 0, "the controller has scanned")
                    for name in advice.rows:
                        advice.words(name)
                    self.assertEqual(advice.raw("test_integer"), 0x01020304)
                    self.assertEqual(advice.words("test_float"), [0x47F1, 0x2000])
                    self.assertEqual(advice.raw("pump_count"), 4)
                    for refused in (advice.client.write_register(100, 1, slave=1), advice.client.write_coil(0, True, slave=1),
                                    advice.client.write_registers(100, [1, 2], slave=1),
                                    advice.client.write_coils(0, [True, False], slave=1)):
                        self.assertTrue(refused.isError())
                        self.assertEqual(refused.exception_code, 1)
                self.read_with_mbpoll(advice_port)
                self.identify(advice_port, b"freshet-controller")
                self.identify(plant.port, b"follows advice")

    def test_a_client_sees_which_transmitter_is_bad_and_why_and_which_alarm_came_first(self):
        scenario = self.folder / "broken_wire.toml"
        scenario.write_text(p.scenario_elsewhere(p.FIELD_MAP) +
                            '\n[[fault]]\nbegins = "60 s"\ndevice = "level_2"\nkind = "under_range"\n')
        advice_port = p.free_port()
        with p.plant("--speed", "20", advice_port=advice_port, scenario=scenario) as plant:
            plant.wait_until_listening()
            with p.controller(plant_port=plant.port, port=advice_port) as controller:
                controller.wait_until_listening()
                with p.AdviceClient(advice_port) as advice:
                    self.assertEqual(advice.raw("map_version_minor"), 5)
                    p.until(lambda: advice.raw("transmitter_2.quality") == 0, "the second transmitter is good")
                    p.until(lambda: advice.raw("transmitter_2.quality") == 2, "the second transmitter is bad")
                    under_range = 7  # the code in the printed map
                    self.assertIn(f"{under_range} loop current under range", advice.rows["transmitter_2.cause"]["meaning"])
                    self.assertEqual(advice.raw("transmitter_2.cause"), under_range)
                    self.assertEqual((advice.raw("transmitter_1.quality"), advice.raw("transmitter_1.cause")), (0, 0))
                    p.until(lambda: advice.raw("station_alarms") & advice.raw("station_alarms_first_out"), "an alarm is the first of its group")

    def read_with_mbpoll(self, port):
        """Reads with mbpoll, which is built on libmodbus. -0 means zero-based addresses."""
        read = p.run("mbpoll", "-0", "-1", "-m", "tcp", "-p", port, "-a", "1", "-t", "3:hex", "-r", "0", "-c", "13", "127.0.0.1")
        self.assertEqual(read.returncode, 0, read.stdout + read.stderr)
        self.assertIn("0x4652", read.stdout)
        written = p.run("mbpoll", "-0", "-1", "-m", "tcp", "-p", port, "-a", "1", "-t", "4", "-r", "100", "127.0.0.1", "7")
        self.assertIn("Illegal function", written.stdout + written.stderr)

    def identify(self, port, word):
        with p.socket.create_connection(("127.0.0.1", port), timeout=5) as peer:
            peer.sendall(bytes.fromhex("000100000005012B0E0200"))
            head = peer.recv(6, p.socket.MSG_WAITALL)
            body = peer.recv(int.from_bytes(head[4:6], "big"), p.socket.MSG_WAITALL)
        self.assertEqual(body[1], 0x2B)
        self.assertIn(word, body)


class LossAndReturn(EndToEnd):
    quick = ("--response-ms", "300")

    def test_a_controller_without_a_plant_listens_and_reports_bad_data(self):
        plant_port = p.free_port()
        with p.controller(*self.quick, plant_port=plant_port) as controller:
            controller.wait_until_listening()
            p.until(lambda: f"link to the station is down (127.0.0.1:{plant_port}: cannot connect" in controller.text(),
                    "the controller names the address of the plant")
            with p.AdviceClient(controller.port) as advice:
                self.assertEqual(advice.raw("measured.quality"), 2)
                self.assertEqual(advice.raw("drive.run"), 0)
            controller.ask_to_stop()
            self.assertEqual(controller.end(), 0)

    def test_after_the_loss_of_the_plant_data_is_bad_and_ages_until_the_plant_returns(self):
        advice_port = p.free_port()
        with p.plant("--speed", "20", advice_port=advice_port) as plant:
            plant_port = plant.wait_until_listening().port
            with p.controller(*self.quick, plant_port=plant_port, port=advice_port) as controller:
                controller.wait_until_listening()
                with p.AdviceClient(advice_port) as advice:
                    p.until(lambda: advice.raw("measured.quality") == 0, "good data")
                    plant.process.kill()
                    plant.process.wait()
                    p.until(lambda: advice.raw("measured.quality") == 2, "bad data")
                    self.assertEqual([advice.raw(f"transmitter_{n}.quality") for n in (1, 2)], [2, 2])
                    age = advice.raw("measured.age")
                    scans = advice.raw("advice.scan_first")
                    p.until(lambda: advice.raw("measured.age") > age, "the data age")
                    p.until(lambda: advice.raw("advice.scan_first") > scans, "the controller continues to scan")
                    with p.plant("--speed", "20", advice_port=advice_port, port=plant_port) as again:
                        again.wait_until_listening()
                        p.until(lambda: advice.raw("measured.quality") == 0, "the data are good again")
                        p.until(lambda: "advice is valid" in again.text(), "the plant follows the advice again")

    def test_after_the_loss_of_the_controller_advice_is_void_until_the_controller_returns(self):
        advice_port = p.free_port()
        with p.plant("--speed", "20", advice_port=advice_port) as plant:
            plant.wait_until_listening()
            with p.controller(*self.quick, plant_port=plant.port, port=advice_port) as controller:
                controller.wait_until_listening()
                p.until(lambda: "advice is valid" in plant.text(), "the plant follows the advice")
            p.until(lambda: "advice is void" in plant.text(), "the advice expires")
            with p.controller(*self.quick, plant_port=plant.port, port=advice_port) as controller:
                controller.wait_until_listening()
                p.until(lambda: plant.text().count("advice is valid") == 2, "the plant follows the advice again")


    def test_a_link_that_a_scenario_makes_bad_is_reported_down_and_connects_again(self):
        for kind, amount in (("link_lost", ""), ("link_slow", 'amount = "1 s"'), ("link_garbled", 'amount = "100 %"')):
            with self.subTest(kind=kind):
                scenario = self.folder / f"{kind}.toml"
                scenario.write_text(p.scenario_elsewhere(p.FIELD_MAP) +
                                    f'\n[[fault]]\nbegins = "40 s"\nlasts = "40 s"\ndevice = "link"\nkind = "{kind}"\n{amount}\n')
                advice_port = p.free_port()
                with p.plant("--speed", "20", advice_port=advice_port, scenario=scenario) as plant:
                    plant.wait_until_listening()
                    with p.controller(*self.quick, plant_port=plant.port, port=advice_port) as controller:
                        controller.wait_until_listening()
                        p.until(lambda: "link to the station is up" in controller.text(), "the link is up")
                        p.until(lambda: "link to the station is down" in controller.text(), "the link is down")
                        with p.AdviceClient(advice_port) as advice:
                            p.until(lambda: advice.raw("measured.quality") == 0, "the data are good again")


class Stopping(EndToEnd):
    def test_one_signal_ends_both_programs_in_order_with_their_summaries(self):
        advice_port = p.free_port()
        with p.plant("--speed", "20", "--out", self.folder / "plant", advice_port=advice_port) as plant:
            plant.wait_until_listening()
            with p.controller("--out", self.folder / "controller", plant_port=plant.port, port=advice_port) as controller:
                controller.wait_until_listening()
                p.until(lambda: "advice is valid" in plant.text(), "the plant follows the advice")
                plant.ask_to_stop(signal.SIGINT)
                self.assertEqual(plant.end(), 0, plant.text())
                controller.ask_to_stop(signal.SIGTERM)
                self.assertEqual(controller.end(), 0, controller.text())
        for name in ("plant", "controller"):
            summary = json.loads((self.folder / name / "summary.json").read_text())
            self.assertGreater(summary["simulated_s"], 0)

    def test_a_second_signal_ends_at_once(self):
        with p.controller(plant_port=p.free_port()) as controller:
            controller.wait_until_listening()
            controller.ask_to_stop()
            controller.ask_to_stop()
            self.assertIn(controller.end(10), (0, 3))


class Instructor(EndToEnd):
    def answers(self, lines, *more, scenario=p.SCENARIO):
        done = subprocess.run(
            [str(p.PLANT), "--scenario", str(scenario), "--instructor", "--duration-s", "1", "--speed", "10", "--quiet",
             "--listen", "127.0.0.1:0", "--advice", "127.0.0.1:1", *map(str, more)],
            input="".join(line + "\n" for line in lines), capture_output=True, text=True, timeout=p.LIMIT_S)
        self.assertEqual(done.returncode, 0, done.stderr)
        return done.stderr

    def test_sets_and_clears_a_fault_while_the_station_runs(self):
        said = self.answers(["drive trip", "clear drive", "clear drive"])
        self.assertIn("drive: trip\n", said)
        self.assertIn("drive: cleared\n", said)
        self.assertIn("drive: no fault to clear\n", said)

    def test_gets_an_answer_that_names_the_mistake_and_the_expected_words(self):
        said = self.answers(["pump_9 trip", "line trip", "line dip much", "go away now please", 4000 * "x" + " drive trip"])
        self.assertIn("there is no device 'pump_9'; the order list names the devices; nearest known device \"pump_", said)
        self.assertIn("a line of more than 200 characters is not an order", said)
        self.assertNotIn("drive: trip", said)
        self.assertIn("'trip' is not a fault of line; expected one of dip, ", said)
        self.assertIn("'much' is not an amount for line dip; expected a plain number, above 0 to 1", said)
        self.assertIn("'go away now please' is not an order", said)

    def test_finds_every_order_and_refusal_in_the_record_together_with_the_scenario_s_own_faults(self):
        scenario = self.folder / "timed.toml"
        scenario.write_text(p.scenario_elsewhere(p.FIELD_MAP) + """
[[fault]]
begins = "0.2 s"
lasts = "0.3 s"
device = "level_1"
kind = "offset"
amount = "0.4 m"
""")
        self.answers(["pump_2 trip", "list", "pump_2 tripp", "clear pump_2"], "--out", self.folder / "station",
                  scenario=scenario)
        lines = [json.loads(line) for line in (self.folder / "station/faults.jsonl").read_text().splitlines()]
        self.assertEqual([(line["by"], line["what"], line["device"], line["kind"], line["amount"]) for line in lines
                          if line["by"] == "instructor"],
                         [("instructor", "set", "pump_2", "trip", None), ("instructor", "refused", None, None, None),
                          ("instructor", "cleared", "pump_2", None, None)])
        self.assertIn("nearest known kind", next(line["answer"] for line in lines if line["what"] == "refused"))
        timed = [line for line in lines if line["by"] == "scenario"]
        self.assertEqual([(line["what"], line["device"], line["kind"], line["amount"]) for line in timed],
                         [("set", "level_1", "offset", 0.4), ("cleared", "level_1", "offset", 0.4)])
        self.assertEqual([line["time"][17:] for line in timed], ["00.200Z", "00.500Z"])
        self.assertFalse((self.folder / "station/journal.jsonl").exists(), "the station makes no decisions, so it has no journal")

    def test_can_list_the_faults(self):
        self.assertIn("link: link_lost, link_slow, link_garbled\n", self.answers(["list"]))


class BadInput(EndToEnd):
    def refused(self, program, needles):
        with program:
            self.assertEqual(program.end(), 2, program.text())
            self.assertEqual(program.process.stdout.read(), b"", "a refused program reports no port")
            for needle in needles:
                self.assertIn(needle, program.text())

    def test_a_missing_station(self):
        self.refused(p.controller(plant_port=1, station=self.folder / "nowhere.toml"), ["nowhere.toml"])

    def test_a_map_whose_addresses_overlap_names_file_and_line(self):
        text = p.FIELD_MAP.read_text()
        spoiled = self.folder / "overlap.toml"
        spoiled.write_text(text.replace("address = 9,", "address = 8,"))
        self.refused(p.controller(plant_port=1, field_map=spoiled), ["overlap.toml:", "line_voltage"])
        self.refused(p.plant("--field-map", spoiled, advice_port=1), ["overlap.toml:", "line_voltage"])

    def test_a_missing_scenario(self):
        self.refused(p.plant(advice_port=1, scenario=self.folder / "nowhere.toml"), ["nowhere.toml"])

    def test_an_unknown_option(self):
        self.refused(p.plant("--speed", "fast", advice_port=1), ["--speed", "max"])
        self.refused(p.controller("--listen", "here", plant_port=1), ["--listen"])

    def test_a_port_that_is_taken(self):
        with p.controller(plant_port=p.free_port()) as first:
            first.wait_until_listening()
            with p.controller(plant_port=1, port=first.port) as second:
                self.assertEqual(second.end(), 3)
                self.assertIn("cannot listen on 127.0.0.1", second.text())


class NoWriteCalls(unittest.TestCase):
    def test_no_program_of_ours_refers_to_a_write_function_of_libmodbus(self):
        for program in (p.CONTROLLER, p.PLANT):
            symbols = subprocess.run(["nm", "-C", program], capture_output=True, text=True, check=True).stdout
            symbols += subprocess.run(["nm", "-D", program], capture_output=True, text=True, check=True).stdout
            self.assertIn("modbus_read_input_registers", symbols, "the list of symbols must not be empty")
            for name in ("modbus_write", "modbus_mask_write", "modbus_send_raw_request", "modbus_reply"):
                self.assertNotIn(name, symbols, program)


if __name__ == "__main__":
    unittest.main(verbosity=2)
