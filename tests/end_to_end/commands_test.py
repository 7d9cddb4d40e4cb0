"""The command line for a person at a shell: bad input of every kind, the closing study, every order of an instructor."""

import csv
import json
import pathlib
import re
import shutil
import tempfile
import unittest

import processes as p

CLOSING_KEYS = {"steady_current_peak_a", "steady_torque_nm", "peak_current_a", "peak_current_ratio", "torque_max_nm",
                "torque_min_nm", "resultant_v_per_hz_pu", "verdict"}

# Every fault that the bench promises, in the words of a scenario: device, kind, amount.
FAULTS = [
    ("level_1", "dead", None), ("level_1", "frozen", None), ("level_1", "erratic", None), ("level_1", "offset", "0.4 m"),
    ("level_2", "lagging", "30 s"), ("level_2", "drops_out", "30 %"), ("level_2", "drift", "1e-4 m/s"),
    ("level_2", "spike", "0.5 m"), ("level_1", "under_range", None), ("level_2", "over_range", None),
    ("header_pressure", "over_range", None), ("high_float", "stuck_on", None), ("low_float", "stuck_off", None),
    ("pump_1.line_side", "does_not_close", None), ("pump_2.line_side", "does_not_open", None),
    ("pump_3.drive_side", "closes_late", "0.4 s"), ("pump_4.line_side", "lies_closed", None),
    ("drive_output", "lies_open", None), ("drive", "trip", None), ("drive", "never_in_sync", None),
    ("drive", "slips_out_of_sync", None), ("drive", "loses_reference", None), ("drive", "not_ready", None),
    ("pump_1", "trip", None), ("pump_2", "blocked", "40 %"), ("pump_3", "worn", "10 %"),
    ("pump_4", "valve_stuck_open", None), ("line", "dip", "20 %"), ("line", "wander", "0.2 Hz"), ("line", "lost", None),
    ("line", "generator", None), ("link", "link_lost", None), ("link", "link_slow", "0.4 s"),
    ("link", "link_garbled", "50 %"), ("emergency_stop", "emergency_stop", None), ("pump_1", "selector_off", None),
    ("pump_2", "selector_hand", None)]


class Command(unittest.TestCase):
    def setUp(self):
        self.folder = pathlib.Path(tempfile.mkdtemp(prefix="freshet-"))
        self.addCleanup(shutil.rmtree, self.folder)
        for part in ("stations", "scenarios", "storms", "field_maps"):
            shutil.copytree(p.SOURCE / "config" / part, self.folder / part)

    def spoil(self, path, was, becomes):
        file = self.folder / path
        text = file.read_text()
        self.assertIn(was, text)
        file.write_text(text.replace(was, becomes, 1))

    def replaced_storm(self, rain):
        """The cloudburst with measured rain in place of its storm."""
        (self.folder / "storms/measured.csv").write_text(rain)
        file = self.folder / "scenarios/cloudburst.toml"
        text = file.read_text()
        begin, end = text.index("[[storm]]"), text.index("[catchment")
        file.write_text(text[:begin] + '[[storm]]\nrain = "../storms/measured.csv"\nbegins = "20 min"\n\n' + text[end:])

    def refused(self, place, *figures, check=None, run=None):
        """Each command ends with 2, names file, line and column, and names the figures. Standard output stays empty."""
        asked = [["check", self.folder / check]] if check else []
        asked += [["run", self.folder / run, "--quiet"]] if run else []
        for words in asked:
            done = p.run(p.FRESHET, *words)
            self.assertEqual(done.returncode, 2, done.stdout + done.stderr)
            self.assertEqual(done.stdout, "")
            self.assertRegex(done.stderr, re.escape(str(self.folder / place)) + r":\d+:\d+: ")
            for figure in figures:
                self.assertIn(figure, done.stderr)


class BadStation(Command):
    def test_a_pump_that_never_overcomes_the_static_head(self):
        self.spoil("stations/demo.toml", 'discharge_level = "36.2 m"', 'discharge_level = "90 m"')
        self.refused("stations/demo.toml", "at full speed and no flow the pump gives 68 m", "the static head at the stop level is 88 m",
                     check="stations/demo.toml", run="scenarios/dry_day.toml")

    def test_a_curve_that_cannot_meet_the_main_at_any_speed(self):
        self.spoil("stations/demo.toml", 'length = "3000 m"', 'length = "300 km"')
        self.refused("stations/demo.toml", "moves less than its minimum flow of 0.18 m3/s even at 60 Hz",
                     check="stations/demo.toml", run="scenarios/dry_day.toml")

    def test_a_nameplate_whose_current_and_power_disagree(self):
        self.spoil("stations/booster.toml", 'current = "34.5 A"', 'current = "24.5 A"')
        self.refused("stations/booster.toml", "24.5 A", "34.55 A", check="stations/booster.toml",
                     run="scenarios/booster_day.toml")

    def test_a_nameplate_whose_speed_and_poles_disagree(self):
        self.spoil("stations/booster.toml", 'speed = "1470 rpm"\ncurrent', 'speed = "1510 rpm"\ncurrent')
        self.refused("stations/booster.toml", "1510 rpm", "1500 rpm", check="stations/booster.toml")

    def test_a_nameplate_whose_efficiency_and_slip_disagree(self):
        self.spoil("stations/booster.toml", 'speed = "1470 rpm"\ncurrent', 'speed = "1365 rpm"\ncurrent')
        self.refused("stations/booster.toml", "efficiency is 92.0 %", "91.0 %", check="stations/booster.toml")

    def test_a_circuit_that_contradicts_the_printed_speed(self):
        self.spoil("stations/demo.toml", 'speed = "1773 rpm"\n\n[motor.circuit]', 'speed = "1795 rpm"\n\n[motor.circuit]')
        self.refused("stations/demo.toml", "1795 rpm", check="stations/demo.toml", run="scenarios/dry_day.toml")


class BadRain(Command):
    def test_a_rain_file_with_a_gap(self):
        self.replaced_storm("time,rain_mm\n2031-05-14T06:00:00Z,0\n2031-05-14T06:05:00Z,2\n2031-05-14T06:25:00Z,2\n")
        self.refused("storms/measured.csv", "2031-05-14T06:05:00Z in line 3", "1200 s", run="scenarios/cloudburst.toml")

    def test_a_rain_file_whose_time_goes_back(self):
        self.replaced_storm("time,rain_mm\n2031-05-14T06:00:00Z,0\n2031-05-14T06:05:00Z,2\n2031-05-14T06:02:00Z,2\n")
        self.refused("storms/measured.csv", "from 2031-05-14T06:05:00Z to 2031-05-14T06:02:00Z",
                     run="scenarios/cloudburst.toml")

    def test_a_rain_file_with_a_missing_value(self):
        self.replaced_storm("t_min,rain_mm\n0,0\n5,\n10,1\n")
        self.refused("storms/measured.csv", "a value is missing", run="scenarios/cloudburst.toml")


class Comparison(unittest.TestCase):
    def test_runs_the_scenario_with_and_without_a_function(self):
        with tempfile.TemporaryDirectory() as folder:
            answer = p.run(p.FRESHET, "run", p.SCENARIO, "--hours", "0.2", "--out", folder, "--compare-with", "no-forecast")
            self.assertEqual(answer.returncode, 0, answer.stderr)
            self.assertRegex(answer.stdout, r"as described +no-forecast")
            self.assertTrue((pathlib.Path(folder) / "no-forecast" / "summary.json").exists())


class Mistakes(Command):
    """Each mistake is reported in one line that begins with the program's name."""

    def complaint(self, *words):
        done = p.run(*words)
        self.assertEqual(done.returncode, 2, done.stderr)
        self.assertEqual(done.stdout, "")
        self.assertEqual(done.stderr.count("\n"), 1, done.stderr)
        return done.stderr

    def test_an_unknown_subcommand(self):
        self.assertIn('freshet: there is no subcommand "rnu"; nearest known subcommand "run"', self.complaint(p.FRESHET, "rnu"))

    def test_an_unknown_option(self):
        for words, name in (((p.FRESHET, "run"), "freshet run"), ((p.FRESHET, "check"), "freshet check"),
                            ((p.PLANT,), "freshet-plant"), ((p.CONTROLLER,), "freshet-controller")):
            self.assertTrue(self.complaint(*words, "--helpp").startswith(
                f'{name}: there is no option "--helpp"; nearest known option "--help"'))

    def test_an_unknown_function_to_compare_with(self):
        self.assertIn("freshet run: --compare-with: rain is not known; expected one of no-forecast,no-line-start",
                      self.complaint(p.FRESHET, "run", p.SCENARIO, "--compare-with", "rain"))

    def test_a_word_in_place_of_a_number(self):
        self.assertIn("freshet explain: --seq: \"-1\" cannot be read; expected a whole number from 0",
                      self.complaint(p.FRESHET, "explain", "journal.jsonl", "--seq", "-1"))

    def test_an_address_that_cannot_exist(self):
        expected = "--allow: '300.1.1.1' is neither an address nor a network; expected one like 192.0.2.7 or 192.0.2.0/24"
        self.assertIn(expected, self.complaint(p.PLANT, "--scenario", p.SCENARIO, "--allow", "300.1.1.1"))
        self.assertIn(expected, self.complaint(p.CONTROLLER, "--station", p.STATION, "--field-map", p.FIELD_MAP,
                                          "--allow", "300.1.1.1"))


class Closing(Command):
    def closing(self, *more, station="demo"):
        done = p.run(p.FRESHET, "closing", "--motor", self.folder / f"stations/{station}.toml", *more)
        self.assertIn(done.returncode, (0, 1), done.stderr)
        return done

    def test_answers_a_program_with_the_promised_keys(self):
        for station in ("demo", "booster"):
            answer = json.loads(self.closing("--angle", 30, "--json", station=station).stdout)
            self.assertLessEqual(CLOSING_KEYS, answer.keys())

    def test_in_opposition_draws_ten_times_the_running_current_and_in_phase_no_more_than_before(self):
        # The limit is from ANSI/NEMA C50.41-2012. Ten times is common practice: two per-unit volts over a stalled motor's impedance.
        opposed = self.closing("--angle", 180, "--json")
        self.assertEqual(opposed.returncode, 1, "beyond 1.33 per-unit volts per hertz is a finding")
        self.assertGreater(json.loads(opposed.stdout)["peak_current_ratio"], 10)
        in_phase = self.closing("--angle", 0, "--json")
        self.assertEqual(in_phase.returncode, 0)
        self.assertAlmostEqual(json.loads(in_phase.stdout)["peak_current_ratio"], 1, places=2)

    def test_each_option_changes_the_answer(self):
        plain = json.loads(self.closing("--angle", 10, "--json").stdout)
        for option in (("--slip-hz", 0.5), ("--volts-diff", 10), ("--load", 50), ("--gap-ms", 100)):
            other = json.loads(self.closing("--angle", 10, *option, "--json").stdout)
            self.assertNotAlmostEqual(plain["peak_current_a"], other["peak_current_a"], places=1, msg=option[0])

    def test_draws_current_and_torque_and_the_peaks_over_half_a_turn(self):
        drawing = self.folder / "closing.svg"
        answer = self.closing("--angle", 180, "--sweep", "--plot", drawing).stdout
        self.assertIn("<svg", drawing.read_text())
        angles = [int(m) for m in re.findall(r"^ +(\d+) +[\d.]+ +[\d.]+", answer, re.MULTILINE)]
        self.assertEqual((angles[0], angles[-1]), (0, 180))

    def test_bad_input_ends_with_exit_code_two(self):
        for words in (("--angle", "much"), ("--angle", 400), (), ("--angle", 10, "--gap-ms", -1)):
            done = p.run(p.FRESHET, "closing", "--motor", self.folder / "stations/demo.toml", *words)
            self.assertEqual(done.returncode, 2, words)


class Cautions(Command):
    """One line, from one place, in every answer that people read. A table for programs never contains the line."""

    LINE = ("Advisory only, never a permission to operate. Follow local codes, the equipment's own instructions and a "
            "licensed engineer.")

    def printed(self, *words):
        done = p.run(p.FRESHET, *words)
        self.assertIn(done.returncode, (0, 1), done.stderr)
        return done.stdout

    def setUp(self):
        super().setUp()
        self.station = self.folder / "stations/demo.toml"
        self.journal = self.folder / "journal.jsonl"
        self.journal.write_text('{"seq":1,"time":"2031-06-01T12:00:00.000Z","what":"pump_state","detail":"off","pump":1,'
                                '"why":"found_off","values":{},"cause":null}\n')

    def test_end_every_text(self):
        for words in (("check", self.station), ("closing", "--motor", self.station, "--angle", 5),
                      ("explain", self.journal, "--seq", 1), ("registers",),
                      ("registers", "--field-map", self.folder / "field_maps/demo.toml"), ("--help",)):
            self.assertTrue(self.printed(*words).rstrip().endswith(self.LINE), words)

    def test_are_in_every_json_object(self):
        for words in (("check", self.station), ("closing", "--motor", self.station, "--angle", 5),
                      ("explain", self.journal, "--seq", 1), ("registers",)):
            self.assertEqual(json.loads(self.printed(*words, "--json"))["caution"], self.LINE, words)

    def test_are_in_documents_and_drawings(self):
        drawing = self.folder / "closing.svg"
        self.printed("closing", "--motor", self.station, "--angle", 5, "--plot", drawing)
        for text in (drawing.read_text().replace("&#39;", "'"), self.printed("sequences", "--dot")):
            self.assertIn(self.LINE, text)
        for words in (("sequences",), ("alarms",)):
            self.assertIn("never a permission to operate", self.printed(*words), words)

    def test_end_the_help_of_every_program_and_subcommand(self):
        for words in ((p.PLANT,), (p.CONTROLLER,), *((p.FRESHET, name) for name in
                      ("check", "run", "closing", "explain", "registers", "sequences", "alarms"))):
            answer = p.run(*words, "--help")
            self.assertEqual(answer.returncode, 0, words)
            self.assertTrue(answer.stdout.rstrip().endswith(self.LINE), words)

    def test_are_in_no_table_for_programs(self):
        for words in (("registers", "--csv"), ("alarms", "--csv")):
            self.assertNotIn("permission to operate", self.printed(*words), words)

    def test_every_program_prints_its_version(self):
        for program, name in ((p.FRESHET, "freshet"), (p.PLANT, "freshet-plant"), (p.CONTROLLER, "freshet-controller")):
            answer = p.run(program, "--version")
            self.assertEqual(answer.returncode, 0, name)
            self.assertRegex(answer.stdout, rf"^{name} \d+\.\d+\.\d+\n$")


class Quality(Command):
    def test_of_the_measured_value_is_in_every_record_of_a_run_with_its_cause(self):
        scenario = self.folder / "scenarios/dry_day.toml"
        broken = "".join(f'\n[[fault]]\nbegins = "100 s"\nlasts = "60 s"\ndevice = "level_{n}"\nkind = "under_range"\n' for n in (1, 2))
        scenario.write_text(scenario.read_text() + broken)
        record = self.folder / "record"
        done = p.run(p.FRESHET, "run", scenario, "--hours", 0.1, "--quiet", "--out", record)
        self.assertEqual(done.returncode, 0, done.stderr)
        events = [json.loads(line) for line in (record / "journal.jsonl").read_text().splitlines()]
        [bad] = [event for event in events if event["what"] == "measured_quality" and event["detail"] == "bad"]
        self.assertEqual(bad["values"]["quality_cause"], "under_range")
        with (record / "trend.csv").open(newline="") as file:
            rows = {row["time_utc"]: row for row in csv.DictReader(file)}
        row = rows[bad["time"][:-5] + ".000Z"]
        self.assertEqual((row["measured_quality"], row["measured_cause"], row["measured_m"]), ("bad", "under_range", ""))
        summary = json.loads((record / "summary.json").read_text())
        self.assertGreater(summary["measured_bad_s"], 50)
        self.assertLess(summary["measured_bad_s"], 80)
        answer = summary["measured_good_s"] + summary["measured_uncertain_s"] + summary["measured_bad_s"]
        self.assertAlmostEqual(answer, summary["simulated_s"], places=3)
        self.assertGreater(summary["measured_not_good_s_by_cause"]["under_range"], 50)
        explained = p.run(p.FRESHET, "explain", record / "journal.jsonl", "--seq", bad["seq"]).stdout
        self.assertIn("The measured value was bad (loop current under range).", explained)


class Faults(Command):
    def test_each_can_be_a_timed_entry_of_a_scenario(self):
        scenario = self.folder / "scenarios/dry_day.toml"
        entries = "".join(
            f'\n[[fault]]\nbegins = "{60 + 20 * i} s"\nlasts = "10 s"\ndevice = "{device}"\nkind = "{kind}"\n'
            + (f'amount = "{amount}"\n' if amount else "") for i, (device, kind, amount) in enumerate(FAULTS))
        scenario.write_text(scenario.read_text() + entries)
        done = p.run(p.FRESHET, "run", scenario, "--hours", 0.5, "--quiet", "--json")
        self.assertEqual(done.returncode, 0, done.stderr)

    def test_each_can_be_set_by_an_instructor_while_the_station_runs(self):
        lines = ["list"] + [f"{device} {kind}" + (" 0.2" if amount else "") for device, kind, amount in FAULTS]
        done = p.subprocess.run(
            [str(p.PLANT), "--scenario", str(self.folder / "scenarios/dry_day.toml"), "--instructor", "--duration-s", "5",
             "--speed", "max", "--quiet", "--listen", "127.0.0.1:0", "--advice", "127.0.0.1:1"],
            input="".join(line + "\n" for line in lines), capture_output=True, text=True, timeout=p.LIMIT_S)
        self.assertEqual(done.returncode, 0, done.stderr)
        for device, kind, amount in FAULTS:
            self.assertIn(f"{device}: {kind}" + (" 0.2" if amount else "") + "\n", done.stderr)
        listed = re.findall(r"^(?:[a-z_]+\.)?\S+: (\w+(?:, \w+)+)$", done.stderr, re.MULTILINE)
        self.assertEqual({kind for kinds in listed for kind in kinds.split(", ")}, {kind for _, kind, _ in FAULTS},
                         "this test must try every kind that `list` names, and no other kind")


if __name__ == "__main__":
    unittest.main(verbosity=2)
