//! Which page an address is of.

use maud::html;

use crate::answer::{Answer, Problem};
use crate::ask::Ask;
use crate::{
    animals, drawn, entries, explain, give, paper, plan, read, shell, start, today, vein, verdict,
};

/// The longest name of a person.
const LONGEST_NAME: usize = 60;

/// Answers what was asked.
pub(crate) fn answer(ask: &Ask<'_>) -> Result<Answer, Problem> {
    let path: Vec<&str> = ask.path.iter().map(String::as_str).collect();
    match (ask.posts, path.as_slice()) {
        (false, ["style.css"]) => {
            Ok(Answer::File("text/css; charset=utf-8", include_str!("../assets/style.css")))
        }
        (false, ["bench.js"]) => {
            Ok(Answer::File("text/javascript; charset=utf-8", include_str!("../assets/bench.js")))
        }
        (false, ["icon.svg"]) => {
            Ok(Answer::File("image/svg+xml", include_str!("../assets/icon.svg")))
        }
        (false, ["who"]) => who(ask),
        (true, ["who"]) => said_who(ask),
        (false, ["drawings", how, grade]) => drawn::file(how, grade),
        (false, ["grades"]) => explain::grades(),
        (false, ["explain", word]) => explain::word(word),
        // Everything else is about the record, and the record names who looks at it.
        _ if ask.person.is_none() => Err(Problem::WhoIsThere),
        (false, []) => today::page(ask),
        (false, ["search"]) => today::search(ask),
        (false, ["handover"]) => paper::handover(ask),
        (false, ["animals", id]) => start::animal(ask, id),
        (false, ["units", donor]) => vein::units(ask, donor),
        (true, ["tasks", seq]) => today::close_task(ask, seq),
        (false, ["start"]) => start::page(ask),
        (true, ["start"]) => start::open(ask),
        (posts, ["worksheets", id, rest @ ..]) => of_worksheet(ask, posts, id, rest),
        _ => Err(Problem::NoPage),
    }
}

fn of_worksheet(ask: &Ask<'_>, posts: bool, id: &str, rest: &[&str]) -> Result<Answer, Problem> {
    let id = &crossread_core::document::Id::new(id).ok_or(Problem::NoPage)?;
    match (posts, rest) {
        (false, []) => animals::page(ask, id),
        (true, ["add", part]) => animals::add(ask, id, part),
        (true, ["segment"]) => animals::segment(ask, id),
        (true, ["note"]) => animals::note(ask, id),
        (false, ["plan"]) => plan::page(ask, id),
        (false, ["read"]) => read::page(ask, id),
        (false, ["read", "since"]) => read::since(ask, id),
        (true, ["read"]) => read::press(ask, id),
        (true, ["step"]) => read::step(ask, id),
        (true, ["unblind"]) => read::unblind(ask, id),
        (false, ["verdict"]) => verdict::page(ask, id),
        (false, ["entries"]) => entries::page(ask, id),
        (false, ["entries", seq]) => entries::one(ask, id, seq),
        (true, ["entries", seq]) => entries::amend(ask, id, seq),
        (true, ["issue"]) => give::issue(ask, id),
        (true, ["hand"]) => give::hand(ask, id),
        (false, ["release", donor]) => give::page(ask, id, donor),
        (true, ["release", donor]) => give::release(ask, id, donor),
        (false, ["transfusion", release]) => vein::page(ask, id, release),
        (true, ["transfusion", release]) => vein::act(ask, id, release),
        (false, ["transfusion", release, "sheet"]) => vein::paper(ask, id, release),
        (true, ["return"]) => give::take_back(ask, id),
        (false, ["paper", which]) => paper::page(ask, id, which),
        _ => Err(Problem::NoPage),
    }
}

/// Where to go on to: an address of this server.
fn onward(to: &str) -> String {
    let own = to.starts_with('/') && !to.starts_with("//") && !to.contains('\\');
    if own { to.to_owned() } else { "/".to_owned() }
}

fn who(ask: &Ask<'_>) -> Result<Answer, Problem> {
    let to = onward(ask.query.get("to"));
    Answer::page(
        "Who are you?",
        html! {
            h1 { "Who are you?" }
            p { "Your name or initials go on the record with everything you enter. Anyone can read it there." }
            form.short method="post" action="/who" {
                (shell::token(ask))
                input type="hidden" name="to" value=(to);
                label for="name" { "Name or initials" }
                input #name name="name" type="text" maxlength=(LONGEST_NAME) autocomplete="off"
                    autofocus spellcheck="false" value=(ask.person.as_deref().unwrap_or_default());
                button.main { "Go on" }
            }
        },
    )
}

fn said_who(ask: &Ask<'_>) -> Result<Answer, Problem> {
    let name = ask.form.get("name");
    if !name.chars().any(char::is_alphanumeric) {
        return Err(Problem::Missing("your name or initials"));
    }
    if name.chars().count() > LONGEST_NAME || name.chars().any(char::is_control) {
        return Err(Problem::Told(format!("a name has at most {LONGEST_NAME} characters")));
    }
    Ok(Answer::Person { name: name.to_owned(), to: onward(ask.form.get("to")) })
}

#[cfg(test)]
mod tests {
    use super::onward;

    #[test]
    fn nobody_is_sent_to_another_site() {
        assert_eq!(onward("/worksheets/WS-1/read"), "/worksheets/WS-1/read");
        for elsewhere in ["//example.org", "https://example.org", "", "/\\example.org"] {
            assert_eq!(onward(elsewhere), "/");
        }
    }
}
