//! Marks as people read them: 80 columns of text, one mark for an appeal, and CSV.

use super::outcome::{Layer, Outcome};
use super::result::Marked;
use super::{Class, Mark, hundredths};
use crate::set::NOT_A_RECORD;
use crate::wrap::paragraph;

/// The result as text, 80 columns wide, critical errors first.
///
/// ```
/// # mod lesson { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/lesson.rs")); }
/// # use lesson::*;
/// # use crossread_teach::marking::text;
/// let exercise = drawings();
/// let responses = Responses::new(all_right(&exercise, "anna"));
/// let text = text(&mark_all(&exercise, &responses, &Options::default())?);
/// assert!(text.contains("PASSED  anna: 6.00 of 6 points, 100.00 %"));
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
pub fn text(marked: &Marked) -> String {
    let mut out = String::new();
    paragraph(&mut out, "", "", NOT_A_RECORD);
    let head = format!(
        "Marks of the set {}: {} student{}. A near miss scores {}; {} % and no critical error pass.",
        marked.set,
        marked.students.len(),
        if marked.students.len() == 1 { "" } else { "s" },
        hundredths(marked.near_hundredths),
        marked.pass_hundredths
    );
    paragraph(&mut out, "", "", &head);
    for withdrawn in &marked.withdrawn {
        let told =
            format!("{} is withdrawn and does not count: {}", withdrawn.item, withdrawn.reason);
        paragraph(&mut out, "", "", &told);
    }
    for student in &marked.students {
        out.push('\n');
        one(&mut out, student);
    }
    out.push('\n');
    paragraph(&mut out, "", "", "What the marking rests on:");
    for source in marked.sources {
        paragraph(&mut out, "- ", "  ", source);
    }
    out
}

fn one(out: &mut String, student: &Outcome) {
    let passed = if student.passed { "PASSED" } else { "FAILED" };
    let head = format!(
        "{passed}  {}: {} of {} points, {} %",
        student.student,
        hundredths(student.score_hundredths),
        student.items,
        hundredths(student.percent_hundredths)
    );
    paragraph(out, "", "        ", &head);
    for because in &student.because {
        paragraph(out, "  because ", "          ", because);
    }
    let layer = |layer: Layer| format!("{} of {}", layer.right, layer.of);
    let layers = format!(
        "right by consequence {}; grades exact {}",
        layer(student.decision),
        layer(student.grade)
    );
    paragraph(out, "  layers  ", "          ", &layers);
    let mut counted: Vec<_> = Class::ALL
        .iter()
        .map(|class| (class.spoken(), student.tally.count(*class)))
        .chain([("not answered", student.tally.unanswered)])
        .filter(|(_, count)| *count > 0)
        .map(|(name, count)| format!("{name} {count}"))
        .collect();
    if counted.is_empty() {
        counted.push("nothing".to_owned());
    }
    paragraph(out, "  counted ", "          ", &counted.join(", "));
    for mark in student.marks.iter().filter(|mark| mark.class != Class::Exact) {
        let told = format!(
            "{}: answer {}, key {}, score {}: {}",
            mark.class.spoken(),
            mark.answer,
            mark.key,
            hundredths(mark.score_hundredths),
            mark.rule
        );
        paragraph(out, &format!("  {:<8}", mark.item), "          ", &told);
    }
}

/// One mark with everything that an appeal needs: key, rule, thresholds with their sources, what
/// experts said.
///
/// ```
/// # mod lesson { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/lesson.rs")); }
/// # use lesson::*;
/// # use crossread_teach::marking::{appeal, mark};
/// let exercise = drawings();
/// let item = exercise.set().items.iter().find(|item| item.ask == Ask::Agglutination);
/// let mark = mark(&exercise, item.ok_or("no grade")?, &Answer::Unreadable).ok_or("no mark")?;
/// let told = appeal("anna", &mark);
/// assert!(told.contains("protocol   dog-routine 1.0.0"));
/// assert!(told.contains("threshold  reactive_from w; source:"));
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
pub fn appeal(student: &str, mark: &Mark) -> String {
    let mut out = String::new();
    paragraph(&mut out, "", "", NOT_A_RECORD);
    let mut line = |label: &str, text: &str| {
        paragraph(&mut out, &format!("{label:<11}"), "           ", text);
    };
    line("student", student);
    line("item", &format!("{}, about {}", mark.item, mark.ask));
    line("answer", &mark.answer);
    line("key", &mark.key);
    line("class", mark.class.spoken());
    line("score", &hundredths(mark.score_hundredths));
    line("rule", mark.rule);
    line("protocol", &mark.protocol);
    for threshold in &mark.thresholds {
        let told = format!("{} {}; source: {}", threshold.key, threshold.value, threshold.source);
        line("threshold", &told);
    }
    for slug in &mark.because {
        let meta = crossread_core::findings::find(slug);
        let told = meta.map_or_else(
            || (*slug).to_owned(),
            |meta| format!("{slug}: {}. Source: {}", meta.title, meta.sources.join("; ")),
        );
        line("rests on", &told);
    }
    line("experts", &spread(&mark.experts));
    for source in super::SOURCES {
        line("marking", source);
    }
    out
}

/// What experts answered, by how many.
fn spread(experts: &[String]) -> String {
    if experts.is_empty() {
        return "none was asked: the key is computed from what the item shows".to_owned();
    }
    let mut counts: std::collections::BTreeMap<&str, usize> = std::collections::BTreeMap::new();
    for answer in experts {
        counts.entry(answer).and_modify(|count| *count = count.saturating_add(1)).or_insert(1);
    }
    let told: Vec<_> =
        counts.iter().map(|(answer, count)| format!("{answer} by {count}")).collect();
    format!("{} asked: {}", experts.len(), told.join(", "))
}

/// Every mark as CSV, one a line.
///
/// ```
/// # mod lesson { include!(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/lesson.rs")); }
/// # use lesson::*;
/// # use crossread_teach::marking::csv;
/// let exercise = drawings();
/// let responses = Responses::new(all_right(&exercise, "anna"));
/// let file = csv(&mark_all(&exercise, &responses, &Options::default())?);
/// assert_eq!(file.lines().next(), Some("item,student,answer,key,class,score,rule"));
/// assert_eq!(file.lines().filter(|line| line.contains(",exact,1.00,")).count(), 6);
/// # Ok::<_, Box<dyn std::error::Error>>(())
/// ```
pub fn csv(marked: &Marked) -> String {
    let mut writer = csv::WriterBuilder::new().from_writer(Vec::new());
    // Writing into memory cannot fail.
    let head = ["item", "student", "answer", "key", "class", "score", "rule"];
    writer.write_record(head).unwrap_or_default();
    for student in &marked.students {
        let mut marks: Vec<_> = student.marks.iter().collect();
        marks.sort_by(|a, b| a.item.cmp(&b.item));
        for mark in marks {
            let score = hundredths(mark.score_hundredths);
            let class = mark.class.to_string();
            let fields = [
                mark.item.as_str(),
                student.student.as_str(),
                mark.answer.as_str(),
                mark.key.as_str(),
                class.as_str(),
                score.as_str(),
                mark.rule,
            ];
            writer.write_record(fields).unwrap_or_default();
        }
        for item in &student.unanswered {
            let fields = [item, &student.student, "", "", "unanswered", "0.00", ""];
            writer.write_record(fields).unwrap_or_default();
        }
    }
    String::from_utf8(writer.into_inner().unwrap_or_default()).unwrap_or_default()
}
