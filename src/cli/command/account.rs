//! `balance`: where the total goes, feed by feed.
//! Leaves to others: the account itself (`balance`), its words (`text/account`), its JSON (`render/json`).

use std::path::PathBuf;

use crate::balance::{Balance as Sum, FeedLine};
use crate::base::quantity::show::{bare, with_interval};
use crate::base::styled::{Role, StyledText};
use crate::cli::context::{Context, OutputFormat};
use crate::cli::error::{CliError, Exit};
use crate::cli::log;
use crate::cli::table::Table;
use crate::hunt::analysis::Analysis;
use crate::hunt::show;
use crate::render::json::suspects::AccountShape;
use crate::text::account as words;

const EXAMPLES: &str = "\
Examples:
  fusetrail account x.hunt.yaml
  fusetrail account x.hunt.yaml --all";

/// Columns of the table.
const HEADINGS: [&str; 5] = ["where", "current", "itself", "floor", "read"];

/// The column of what a feed carries itself: left out where it would break the others, or the screen becomes a list.
const ITSELF: usize = 2;

/// The column that says whether it was read: said only where others are listed too.
const READ: usize = 4;

/// Narrowest screen that takes all columns whole.
const WIDE: usize = 76;

/// Arguments of `account`.
#[derive(Debug, clap::Args)]
#[command(before_help = EXAMPLES, arg_required_else_help = true)]
pub struct Account {
    /// Session log
    log: PathBuf,
    /// List the feeds that were not read too, with what is expected of them
    #[arg(long)]
    all: bool,
}

impl Account {
    /// Carries the command out.
    ///
    /// # Errors
    /// The log is missing, not a log, or damaged.
    pub fn run(self, context: &Context) -> Result<Exit, CliError> {
        let (_, case, notes) = log::read(&self.log)?;
        context.talk(&notes);
        let analysis = Analysis::of(&case);
        if context.format == OutputFormat::Json {
            context.print_json(&AccountShape::of(&analysis))?;
            return Ok(Exit::Done);
        }
        let Some(account) = &analysis.account else {
            context.print(&[StyledText::plain(words::NO_ACCOUNT)])?;
            return Ok(Exit::Done);
        };
        self.print(context, account)?;
        context.print(&totals(account))?;
        context.print(&show::placing(&analysis))?;
        Ok(Exit::Done)
    }

    fn print(&self, context: &Context, account: &Sum) -> Result<(), CliError> {
        let shown: Vec<usize> = (0..HEADINGS.len())
            .filter(|at| (*at != ITSELF || context.width() >= WIDE) && (*at != READ || self.all))
            .collect();
        let pick = |cells: &[String; 5]| -> Vec<String> {
            shown.iter().filter_map(|at| cells.get(*at).cloned()).collect()
        };
        let heads = pick(&HEADINGS.map(str::to_owned));
        let heads: Vec<&str> = heads.iter().map(String::as_str).collect();
        let mut table = Table::new(&heads).right(&[1, 2, 3]);
        let all = || account.feeds.iter().chain(&account.unfused);
        let listed: Vec<&FeedLine> = all().filter(|line| self.all || line.floor.is_some()).collect();
        for line in &listed {
            table.row(pick(&row(line)));
        }
        if listed.is_empty() {
            context.print(&[StyledText::plain(words::NO_FUSE_READ)])?;
        } else {
            context.print_table(&table)?;
        }
        let left = all().count() - listed.len();
        if left > 0 {
            let text = words::not_read(left);
            context.print(&[StyledText::of(Role::Hint, text)])?;
        }
        Ok(())
    }
}

/// A current below its floor is "less than", never a figure that looks read.
fn row(line: &FeedLine) -> [String; 5] {
    let floor = line.floor.map(|floor| bare(floor, 2)).unwrap_or_default();
    let current =
        if line.below_floor() { format!("less than {floor}") } else { with_interval(&line.current) };
    let same = line.own == line.current;
    let own = if same || line.below_floor() { String::new() } else { with_interval(&line.own) };
    let read = if line.floor.is_none() { "no" } else { "yes" };
    [line.id.clone(), current, own, floor, read.to_owned()]
}

fn totals(account: &Sum) -> Vec<StyledText> {
    let line = |name: &str, value: String| StyledText::plain(format!("{name} ")).and(Role::Value, value);
    let total = account.total.as_ref().map_or_else(|| "not read yet".to_owned(), with_interval);
    vec![line("Total", total), line("Placed", with_interval(&account.placed))]
}
