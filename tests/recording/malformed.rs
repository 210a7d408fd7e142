//! A corpus of logs as they come: odd, broken, foreign. Each gives the right samples with bad rows counted and the
//! first of them named, or a message that says what is wrong and what to do. Never a panic, never silence.

use fusetrail::base::quantity::{Minute, Ohm, Unit as _};
use fusetrail::trace::cell::CellUnit;
use fusetrail::trace::options::Options;
use fusetrail::trace::stamp::DateOrder;
use fusetrail::trace::table::{Recording, Start, read};

fn with(options: &Options, bytes: &[u8]) -> Result<Recording, String> {
    read(bytes, options).map_err(|fault| fault.to_string())
}

/// A hundred rows, each written by `row` from its number; the current falls from 400 to 25 mA after the fiftieth.
fn rows(head: &str, row: impl Fn(u32, f64) -> String) -> String {
    let body: Vec<String> = (0..100).map(|at| row(at, if at < 50 { 400.0 } else { 25.0 })).collect();
    format!("{head}{}\n", body.join("\n"))
}

fn iso(at: u32) -> String {
    format!("2026-11-02T07:{:02}:{:02}", 40 + at / 60, at % 60)
}

/// Asserts that a log is read as the hundred rows less those left out: 400 mA, then 25 mA, a second apart.
#[track_caller]
fn reads_with(options: &Options, text: impl AsRef<[u8]>, left_out: usize) -> Recording {
    let log = with(options, text.as_ref()).unwrap_or_else(|fault| panic!("{fault}"));
    assert_eq!(
        (log.trace.len() + left_out, log.skipped),
        (100, left_out),
        "{} {:?}",
        log.layout,
        log.first_skipped
    );
    assert_eq!(log.first_skipped.is_some(), left_out > 0);
    let samples: Vec<(f64, f64)> = log.trace.samples().map(|(t, i)| (t.base() * 60.0, i.milli())).collect();
    for (time, current) in &samples {
        // Where the first row is left out, times count from the second.
        let wanted = if *time < 49.5 { 400.0 } else { 25.0 };
        let at_the_edge = left_out > 0 && (time - 49.0).abs() < 1.5;
        assert!((current - wanted).abs() < 1e-6 || at_the_edge, "{time} s: {current} mA; {}", log.layout);
    }
    let last = samples.last().expect("samples").0;
    assert!((last - 99.0).abs() < 1.01, "{last} s; {} {:?}", log.layout, log.mended);
    log
}

#[track_caller]
fn reads(text: impl AsRef<[u8]>, left_out: usize) -> Recording {
    reads_with(&Options::default(), text, left_out)
}

#[track_caller]
fn refuses_with(options: &Options, text: impl AsRef<[u8]>, words: &[&str]) {
    let said = match with(options, text.as_ref()) {
        Ok(log) => panic!("must be refused, was read as {}", log.layout),
        Err(said) => said,
    };
    for word in words {
        assert!(said.contains(word), "\"{word}\" is not in: {said}");
    }
}

#[track_caller]
fn refuses(text: impl AsRef<[u8]>, words: &[&str]) {
    refuses_with(&Options::default(), text, words);
}

#[test]
fn separators_and_decimal_marks() {
    reads(rows("time,current_mA\n", |at, i| format!("{},{i}", iso(at))), 0);
    reads(rows("time;Strom (A)\n", |at, i| format!("{};{:.3}", iso(at), i / 1e3).replace('.', ",")), 0);
    reads(rows("time\tI [mA]\n", |at, i| format!("{}\t{i:.1}", iso(at)).replace('.', ",")), 0);
    reads(rows("time|mA\n", |at, i| format!("{}|{i}", iso(at))), 0);
    reads(rows("", |at, i| format!("{}   {i:.1}", iso(at).replace('T', " "))), 0);
    reads(
        rows("Time,Current (A)\n", |at, i| format!("\"{}\",\"{:.3}\"", iso(at), i / 1e3).replace('.', ",")),
        0,
    );
    reads(rows("t (s);I (mA)\n", |at, i| format!(" {at} ; {i} ")), 0);
    reads(rows("Time,µA\n", |at, i| format!("{},\"{}\"", iso(at), grouped(i))), 0);
    reads_with(
        &Options { separator: Some(b';'), mark: Some(b','), ..Options::default() },
        rows("time;mA\n", |at, i| format!("{};{i:.2}", iso(at)).replace('.', ",")),
        0,
    );
}

/// Writes milliampere as microampere with groups of thousands and a decimal: 400000 as 400,000.0.
fn grouped(i: f64) -> String {
    format!("{:.0},000.0", i)
}

#[test]
fn head_junk_tails_and_blank_lines() {
    let head = "Logger model X\nSerial 12345\nInterval;1 s\n\n";
    reads(rows(&format!("{head}Time;Current\n;mA\n"), |at, i| format!("{};{i}", iso(at))), 0);
    reads(rows("\u{feff}Time,mA\n", |at, i| format!("{},{i}", iso(at))), 0);
    reads(rows("# started by hand\n# channel 1\ntime,mA\n", |at, i| format!("{},{i}", iso(at))), 0);
    reads(rows("time,mA\r\n", |at, i| format!("{},{i}\r", iso(at))), 0);
    reads(rows("time,mA\n", |at, i| format!("{},{i}", iso(at))).replace('\n', "\r"), 0);
    reads(rows("time,mA\n", |at, i| format!("\n{},{i}\n", iso(at))), 0);
    let log = with(
        &Options::default(),
        format!("{}Average;212\nEnd of log\n", rows("time;mA\n", |at, i| format!("{};{i}", iso(at))))
            .as_bytes(),
    );
    let log = log.expect("read");
    assert_eq!((log.trace.len(), log.skipped), (100, 2));
    assert_eq!(log.first_skipped.expect("named").place.line, Some(102));
    let log = reads(
        rows(
            "time;mA\n",
            |at, i| if at < 1 { format!("{};---", iso(at)) } else { format!("{};{i}", iso(at)) },
        ),
        1,
    );
    assert_eq!(log.first_skipped.expect("named").place.line, Some(2), "the first row of data is bad");
    reads(rows("time,mA,\n", |at, i| format!("{},{i},", iso(at))), 0);
    reads(rows("time,mA\n", |at, i| format!("{},{i}", iso(at))).trim_end(), 0);
}

#[test]
fn figures_beyond_all_range_are_left_out() {
    for far in ["1e300,25", "-9223372036854775808,25", "60,1e12", "60,-1e12"] {
        let log =
            reads(rows("s,mA\n", |at, i| if at == 60 { far.to_owned() } else { format!("{at},{i}") }), 1);
        let first = log.first_skipped.expect("named").to_string();
        assert!(first.contains("line 62"), "{first}");
    }
}

#[test]
fn times_of_every_form() {
    reads(rows("", |at, i| format!("{}Z,{i}", iso(at))), 0);
    reads(rows("time,mA\n", |at, i| format!("{}.000+01:00,{i}", iso(at))), 0);
    reads(rows("Date;Time;mA\n", |at, i| format!("02.11.2026;07:{:02}:{:02};{i}", 40 + at / 60, at % 60)), 0);
    reads(rows("Date,Time,mA\n", |at, i| format!("20261102,07:{:02}:{:02},{i}", 40 + at / 60, at % 60)), 0);
    reads(rows("time,mA\n", |at, i| format!("11/02/2026 07:{:02}:{:02} PM,{i}", 40 + at / 60, at % 60)), 0);
    reads(rows("time,mA\n", |at, i| format!("21/01/2012 07:{:02}:{:02},{i}", 40 + at / 60, at % 60)), 0);
    reads(rows("time,mA\n", |at, i| format!("02-Nov-2026 07:{:02}:{:02},{i}", 40 + at / 60, at % 60)), 0);
    reads(rows("elapsed,mA\n", |at, i| format!("0:{:02}:{:02},{i}", at / 60, at % 60)), 0);
    reads(rows("Elapsed (min),mA\n", |at, i| format!("{:.6},{i}", f64::from(at) / 60.0)), 0);
    reads(rows("Elapsed [ms],mA\n", |at, i| format!("{},{i}", at * 1000)), 0);
    reads(rows("t,mA\n", |at, i| format!("{}.0 s,{i} mA", at)), 0);
    reads(rows("time,mA\n", |at, i| format!("{},{i}", 1_793_600_000 + at)), 0);
    reads(rows("timestamp,mA\n", |at, i| format!("{},{i}", 1_793_600_000_000_u64 + u64::from(at) * 1000)), 0);
    let log = reads(
        rows("time,mA\n", |at, i| format!("{:.8},{i}", 46_328.319_444_44 + f64::from(at) / 86_400.0)),
        0,
    );
    assert!(matches!(log.start, Start::Moment(..)), "{}", log.layout);
    let night = rows("time,mA\n", |at, i| {
        let second = (86_400 - 30 + at) % 86_400;
        format!("{:02}:{:02}:{:02},{i}", second / 3600, second / 60 % 60, second % 60)
    });
    let log = reads(night, 0);
    assert_eq!(log.start.at(Minute::new(1.0)).as_deref(), Some("00:00:30"));
    let months = Options { dates: Some(DateOrder::MonthFirst), ..Options::default() };
    let log = reads_with(
        &months,
        rows("time,mA\n", |at, i| format!("11/02/2026 07:{:02}:{:02},{i}", 40 + at / 60, at % 60)),
        0,
    );
    assert_eq!(log.start.at(Minute::ZERO).as_deref(), Some("2026-11-02T07:40:00"));
}

#[test]
fn stamps_that_are_doubled_behind_missing_or_turned_round() {
    reads(rows("time,mA\n", |at, i| format!("{},{i}", if at == 60 { iso(10) } else { iso(at) })), 1);
    reads(
        rows("time,mA\n", |at, i| {
            format!("{},{i}", if at == 60 { "2062-01-01T00:00:00".into() } else { iso(at) })
        }),
        1,
    );
    let half = rows("time,mA\n", |at, i| format!("{},{i}", iso(at / 2 * 2)));
    assert_eq!(reads(half, 0).mended.doubled, 50);
    let back = rows("time,mA\n", |at, i| {
        format!("{},{i}", if at < 70 { iso(at) } else { format!("2026-11-02T06:40:{:02}", at - 70) })
    });
    assert_eq!(reads(back, 0).mended.set_back, 1);
    let all: Vec<String> = rows("", |at, i| format!("{},{i}", iso(at))).lines().map(str::to_owned).collect();
    let turned: Vec<String> = all.iter().rev().cloned().collect();
    let log = reads(format!("time,mA\n{}\n", turned.join("\n")), 0);
    assert_eq!(log.start.at(Minute::ZERO).as_deref(), Some("2026-11-02T07:40:00"));
    assert!(log.layout.contains("latest row first"));
    let gap = rows("time,mA\n", |at, i| {
        format!("{},{i}", if at < 99 { iso(at) } else { "2026-11-02T09:00:00".into() })
    });
    let log = with(&Options::default(), gap.as_bytes()).expect("read");
    assert_eq!(log.trace.gaps().count(), 1);
}

#[test]
fn overload_marks_and_unreadable_cells() {
    for mark in ["OL", "-O.L", "0L", "9.9E37", "+9.90000000E+37", "OVLD", "inf"] {
        let log = reads(
            rows("time,mA\n", |at, i| {
                if at == 20 { format!("{},{mark}", iso(at)) } else { format!("{},{i}", iso(at)) }
            }),
            1,
        );
        assert_eq!(log.overloads, 1, "{mark}");
        assert_eq!(log.first_skipped.expect("named").place.line, Some(22));
    }
    for mark in ["", "---", "NaN", "err", "#N/A", "12,3,4", "1 2", "\u{1b}[2J"] {
        let log = reads(
            rows("time;mA\n", |at, i| {
                if at == 20 { format!("{};{mark}", iso(at)) } else { format!("{};{i}", iso(at)) }
            }),
            1,
        );
        assert_eq!(log.first_skipped.expect("named").place.line, Some(22), "{mark}");
    }
    reads(
        rows("time,mA\n", |at, i| {
            if at == 20 { "2026-11-02T07:99:00,400".into() } else { format!("{},{i}", iso(at)) }
        }),
        1,
    );
    reads(rows("time,mA\n", |at, i| if at == 20 { iso(at) } else { format!("{},{i}", iso(at)) }), 1);
    reads(rows("time,mA\n", |at, i| if at == 20 { "time,mA".into() } else { format!("{},{i}", iso(at)) }), 1);
    let mut torn = rows("time,mA\n", |at, i| format!("{},{i}", iso(at))).into_bytes();
    torn.truncate(torn.len() - 4);
    reads(torn, 1);
    let bytes = rows("time,mA\n", |at, i| format!("{},{i}", iso(at))).replace(":20,", ":20,\u{0}\u{7}");
    refuses(bytes, &["zero bytes", "CSV"]);
}

#[test]
fn units_in_headings_cells_columns_and_by_size() {
    reads(rows("time,current\n", |at, i| format!("{},{i:.1} mA", iso(at))), 0);
    let mixed = |at: u32, i: f64| {
        if i > 100.0 { format!("{},{:.4}A", iso(at), i / 1e3) } else { format!("{},{i:.2}mA", iso(at)) }
    };
    reads(rows("time,current\n", mixed), 0);
    let column = |at: u32, i: f64| {
        if i > 100.0 { format!("{},{:.4},A", iso(at), i / 1e3) } else { format!("{},{i:.2},mA", iso(at)) }
    };
    reads(rows("time,value,unit\n", column), 0);
    reads(rows("", |at, i| format!("{},{:.3}", iso(at), i / 1e3)), 0);
    reads(rows("", |at, i| format!("{},{i:.1}", iso(at))), 0);
    reads(rows("time;I (\u{b5}A)\n", |at, i| format!("{};{}", iso(at), i * 1e3)), 0);
    let old: Vec<u8> = rows("time;I (?A)\n", |at, i| format!("{};{}", iso(at), i * 1e3))
        .bytes()
        .map(|byte| if byte == b'?' { 0xB5 } else { byte })
        .collect();
    reads(old, 0);
    reads(
        rows("No,Time,Vbat (V),I (A),T (\u{b0}C)\n", |at, i| {
            format!("{at},{},12.61,{:.3},21.5", iso(at), i / 1e3)
        }),
        0,
    );
    let shunt = Options { shunt: Some(Ohm::from_milli(1.0)), ..Options::default() };
    reads_with(&shunt, rows("time,U (mV)\n", |at, i| format!("{},{:.4}", iso(at), i / 1e3)), 0);
    let named =
        Options { column: Some("leakage".into()), unit: Some(CellUnit::Current(1e-6)), ..Options::default() };
    reads_with(&named, rows("time,mA,Leakage\n", |at, i| format!("{},7,{}", iso(at), i * 1e3)), 0);
    let every = Options { every: Some(Minute::new(1.0 / 60.0)), ..Options::default() };
    reads_with(&every, rows("mA\n", |_, i| i.to_string()), 0);
    reads_with(&every, rows("", |_, i| format!("{i:.1}").replace('.', ",")), 0);
}

#[test]
fn what_cannot_be_used_is_refused_with_what_was_found_and_what_to_do() {
    refuses("", &["no rows"]);
    refuses("\n\n\n", &["no rows", "expected"]);
    refuses("just some words\nand more words\n", &["no row with numbers", "just some words"]);
    refuses("<html><body>Not found</body></html>", &["no row with numbers", "<html>"]);
    refuses(b"PK\x03\x04rest", &["spreadsheet", "CSV"]);
    refuses(b"\xD0\xCF\x11\xE0rest", &["old spreadsheet"]);
    refuses(b"\xFF\xFEt\0i\0", &["UTF-16", "UTF-8"]);
    refuses(b"BZh91AY", &["bzip2"]);
    refuses(b"\xFD7zXZ\0", &["xz"]);
    refuses(vec![0_u8; 1000], &["zero bytes"]);
    refuses(vec![b'7'; 200_000], &["64 KiB", "CSV"]);
    refuses(rows("", |_, i| i.to_string()), &["no column of times", "--every"]);
    refuses(rows("value\n", |_, i| i.to_string()), &["no column of times", "\"value\"", "--time"]);
    refuses(rows("No,mA\n", |at, i| format!("{at},{i}")), &["no column of times", "--every"]);
    refuses(rows("time,U (mV)\n", |at, i| format!("{},{}", iso(at), i / 1e3)), &["volts", "--shunt"]);
    refuses(
        rows("time,T (\u{b0}C)\n", |at, _| format!("{},21.5", iso(at))),
        &["no column of currents", "--column"],
    );
    refuses(
        rows("time,mA\n", |at, i| format!("{},{:.0},{:03}", iso(at), i / 1e3, i)),
        &["commas", "another separator"],
    );
    let bad = Options { column: Some("draw".into()), ..Options::default() };
    refuses_with(
        &bad,
        rows("time,mA\n", |at, i| format!("{},{i}", iso(at))),
        &["no column \"draw\"", "\"mA\""],
    );
    let bad = Options { time: Some("9".into()), ..Options::default() };
    refuses_with(&bad, rows("time,mA\n", |at, i| format!("{},{i}", iso(at))), &["no column \"9\""]);
    let bad = Options { separator: Some(b';'), ..Options::default() };
    refuses_with(&bad, rows("time,mA\n", |at, i| format!("{},{i}", iso(at))), &["no row with numbers"]);
}

#[test]
fn a_stream_that_breaks_says_so() {
    struct Broken(Vec<u8>);
    impl std::io::Read for Broken {
        fn read(&mut self, buffer: &mut [u8]) -> std::io::Result<usize> {
            if self.0.is_empty() {
                return Err(std::io::Error::other("the disk was taken out"));
            }
            let count = self.0.len().min(buffer.len());
            buffer[..count].copy_from_slice(&self.0[..count]);
            self.0.drain(..count);
            Ok(count)
        }
    }
    let text = rows("time,mA\n", |at, i| format!("{},{i}", iso(at)));
    let fault =
        read(std::io::BufReader::new(Broken(text.into_bytes())), &Options::default()).expect_err("breaks");
    assert!(fault.to_string().contains("the disk was taken out"), "{fault}");
}

/// Any bytes at all: an answer or a message, never a panic.
#[test]
fn bytes_at_random_never_stop_the_reader() {
    use proptest::prelude::*;
    let piece = prop::sample::select(vec![
        "0",
        "1",
        "9",
        ".",
        ",",
        ";",
        "\t",
        "\n",
        "\n",
        "\r",
        " ",
        ":",
        "-",
        "+",
        "e",
        "E",
        "T",
        "Z",
        "\"",
        "mA",
        "2026-11-02",
        "07:40:00",
        "OL",
        "\u{b5}",
        "time",
        "d",
        "99999999999999999999",
        "1e400",
        "\u{0}",
        "/",
        "12/31/99",
    ]);
    let texts = prop::collection::vec(piece, 0..400).prop_map(|pieces| pieces.concat());
    proptest!(ProptestConfig::with_cases(2000), |(text in texts)| {
        match with(&Options::default(), text.as_bytes()) {
            Ok(log) => prop_assert!(!log.trace.is_empty() && log.trace.samples().all(|(t, i)| t.base().is_finite() && i.base().is_finite())),
            Err(said) => prop_assert!(!said.is_empty()),
        }
    });
}
