//! The help of the program as a whole: its commands in groups, in the order in which they are used.

use clap::Command;

/// Headings and names of the commands below them; what each does stands beside its declaration.
const GROUPS: [(&str, &[&str]); 3] = [
    (
        "The job",
        &[
            "new", "check", "run", "export", "report", "pictures", "smoke",
        ],
    ),
    ("The bench", &["seal", "plan", "compare"]),
    (
        "Long batches and many machines",
        &["runs", "rank", "doubts"],
    ),
];

/// The command with its subcommands listed in groups.
pub(super) fn grouped(command: Command) -> Command {
    let list = list(&command);
    command.help_template(format!(
        "{{about-with-newline}}\n{{usage-heading}} {{usage}}\n\n{list}Options:\n{{options}}{{after-help}}"
    ))
}

/// The groups, a line for each command.
fn list(command: &Command) -> String {
    let names = GROUPS.iter().flat_map(|(_, names)| *names);
    let columns = names.map(|name| name.len()).max().unwrap_or(0);
    let line = |name: &&str| {
        let found = command.find_subcommand(name);
        let about = found.and_then(Command::get_about);
        let about = about.map(ToString::to_string).unwrap_or_default();
        format!("  {name:columns$}  {about}\n")
    };
    let group = |(heading, names): &(&str, &[&str])| {
        let lines: String = names.iter().map(line).collect();
        format!("{heading}:\n{lines}\n")
    };
    GROUPS.iter().map(group).collect()
}

#[cfg(test)]
mod tests {
    use clap::CommandFactory;

    use super::*;
    use crate::cli::Args;

    #[test]
    fn every_command_stands_in_the_help_once_and_says_what_it_does() {
        let mut command = grouped(Args::command());
        let declared: Vec<String> = command
            .get_subcommands()
            .map(|command| command.get_name().to_owned())
            .collect();
        assert!(declared.len() >= 12, "{declared:?}");
        let help = command.render_help().to_string();
        let (_, list) = help.split_once("The job:\n").unwrap();
        let (list, _) = list.split_once("Options:\n").unwrap();
        let mut listed: Vec<&str> = Vec::new();
        for line in list.lines().filter(|line| line.starts_with("  ")) {
            let (name, about) = line.trim_start().split_once(' ').unwrap();
            assert!(!about.trim().is_empty(), "{name} does nothing");
            listed.push(name);
        }
        let mut declared: Vec<&str> = declared.iter().map(String::as_str).collect();
        listed.sort_unstable();
        declared.sort_unstable();
        assert_eq!(listed, declared);
    }

    #[test]
    fn the_help_fits_a_terminal() {
        let help = grouped(Args::command()).render_help().to_string();
        for line in help.lines() {
            assert!(line.chars().count() <= 80, "{line}");
        }
    }
}
