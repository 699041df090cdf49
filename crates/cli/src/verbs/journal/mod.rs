//! The record: everything the journal does, from the command line.

mod args;
mod read;
mod tell;
mod vein;
mod write;

pub(crate) use args::{Journal, Shape, date, id, time, word};

use args::What;
pub(crate) use tell::{json, now, opened};

use crate::exit::Failure;

pub(crate) fn run(asked: &Journal) -> Result<u8, Failure> {
    match &asked.what {
        What::Init(what) => write::init(what),
        What::Open(what) => write::open(what),
        What::Take(what) => write::take(what),
        What::Add(what) => write::add(what),
        What::Enter(what) => write::enter(what),
        What::Note(what) => write::note(what),
        What::Amend(what) => write::amend(what),
        What::Retract(what) => write::retract(what),
        What::Segment(what) => write::segment(what),
        What::Unblind(what) => write::unblind(what),
        What::Issue(what) => write::issue(what),
        What::Hand(what) => write::hand(what),
        What::Release(what) => write::release(what),
        What::Return(what) => write::take_back(what),
        What::Start(what) => vein::start(what),
        What::Observe(what) => vein::observe(what),
        What::End(what) => vein::end(what),
        What::Outcome(what) => vein::outcome(what),
        What::Running(what) => vein::running(what),
        What::Transfused(what) => write::transfused(what),
        What::Reaction(what) => write::reaction(what),
        What::Typed(what) => write::typed(what),
        What::Retest(what) => write::retest(what),
        What::Clerical(what) => write::clerical(what),
        What::Done(what) => write::done(what),
        What::List(what) => read::list(what),
        What::Show(what) => read::show(what),
        What::Animal(what) => read::animal(what),
        What::Search(what) => read::search(what),
        What::Compare(what) => read::compare(what),
        What::Units(what) => read::units(what),
        What::Tasks(what) => read::tasks(what),
        What::Old(what) => read::old(what),
        What::Verify(what) => read::verify(what),
        What::Export(what) => read::export(what),
        What::Import(what) => write::import(what),
    }
}
