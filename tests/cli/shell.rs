//! At home in a shell: completions, manual pages, settings.

use crate::world::World;

#[test]
fn completions_know_every_command_in_every_shell() {
    let world = World::new();
    for shell in ["bash", "zsh", "fish", "powershell"] {
        let script = world.say(&format!("completions {shell}")).ends(0).out;
        for command in fusetrail::cli::tree(80, false).get_subcommands() {
            assert!(script.contains(command.get_name()), "{shell}: {}", command.get_name());
        }
    }
}

#[test]
fn manual_pages_begin_with_examples_and_there_is_one_for_each_command() {
    let world = World::new();
    std::fs::create_dir(world.path("man1")).expect("a folder");
    world.say("man --to man1").ends(0);
    for command in fusetrail::cli::tree(80, false).get_subcommands() {
        let page = world.read(&format!("man1/fusetrail-{}.1", command.get_name()));
        let [synopsis, description] =
            ["SYNOPSIS", ".SH DESCRIPTION"].map(|head| page.find(head).expect("a section"));
        let examples = page.find(".SH EXAMPLES").expect("examples");
        assert!(synopsis < examples && examples < description, "{}", command.get_name());
    }
    assert!(world.say("man hunt").ends(0).out.contains("fusetrail\\-hunt"));
    assert!(world.say("man haunt").ends(2).talk.contains("haunt"));
}

#[test]
fn settings_change_what_is_shown_and_nothing_that_is_stored() {
    let world = World::new().with("FUSETRAIL_CONFIG", "config.yaml");
    world.write("config.yaml", "letterhead: [Example Garage, 1 Harbour Street]\nmeters: {bench: '0.01mV,0.3,3'}\ntemperature: F\ndecimal: ','\n");
    let convert = "convert --family mini --rating 10 --drop 3.05mV --temp 10C";
    let shown = world.say(convert).ends(0).out;
    assert!(shown.contains("7,00 mΩ") && shown.contains("50 °F"), "{shown}");
    let plain = World::new();
    let same = |world: &World| world.say(&format!("{convert} --format json")).ends(0).out;
    assert_eq!(same(&world), same(&plain));
    world.say("open x.hunt.yaml --map hatch --meter bench").ends(0);
    world.say("record x.hunt.yaml --to x.html").ends(0);
    assert!(world.read("x.html").contains("Example Garage<br>1 Harbour Street"));
    assert!(world.say("-v list x.hunt.yaml").ends(0).talk.contains("config.yaml"));
    world.write("config.yaml", "colour: red\n");
    let run = world.say("list x.hunt.yaml").ends(1);
    assert!(run.talk.contains("config.yaml") && run.talk.contains("colour"), "{run:?}");
}
