//! The crew packet: what people on site work from.

use super::block::{Block, Column, Orientation, Section, Table};
use super::site::{self, Detail};
use super::{cases, cover, cuts, one_line, profile, riser, trenches};
use crate::format;
use crate::options::PaperOptions;
use duskwright_solver::schedule::{
    CircuitRow, Dossier, JointRow, LugRow, Pole, SecondaryRow, TransformerRow,
};

/// All sections of the packet.
pub fn sections(dossier: &Dossier, options: &PaperOptions) -> Vec<Section> {
    let mut sections = vec![first(dossier, options)];
    sections.extend(site::sections(dossier, Detail::Crew));
    sections.extend(
        dossier
            .transformers
            .iter()
            .map(|row| transformer(dossier, row)),
    );
    sections.extend([
        trenches::section(dossier),
        cuts::section(dossier),
        steps(dossier),
        readings(dossier),
    ]);
    sections
}

fn first(dossier: &Dossier, options: &PaperOptions) -> Section {
    let mut facts = vec![("Date".to_owned(), options.date.to_string())];
    facts.extend(cover::extent(dossier));
    let mut blocks = vec![
        Block::Title(format!("Crew packet: {}", dossier.header.job)),
        Block::Facts(facts),
    ];
    blocks.extend(cover::cautions(dossier));
    blocks.extend([
        Block::Heading("Names".to_owned()),
        Block::Paragraph(
            "T1 is a transformer, C1 a circuit. C1-P2 is the second piece of cable of circuit C1 and ends in joint C1-J2; C1-P1 is its home run. \
             The same names stand in every list, drawing and file of this plan. What to bring stands at the end of the cut list."
                .to_owned(),
        ),
        Block::Heading("Done".to_owned()),
        Block::WriteOn(vec!["Utilities located on".to_owned(), "By".to_owned()]),
        Block::WriteOn(vec!["Crew".to_owned(), "Work done on".to_owned()]),
    ]);
    Section {
        title: "Crew packet".to_owned(),
        orientation: Orientation::Portrait,
        new_page: true,
        blocks,
    }
}

fn transformer(dossier: &Dossier, row: &TransformerRow) -> Section {
    let header = &dossier.header;
    let standing = match &row.existing {
        Some(tag) => format!("standing already ({tag})"),
        None => "new".to_owned(),
    };
    let fact = |name: &str, value: String| (name.to_owned(), value);
    let mut blocks = vec![
        Block::Facts(vec![
            fact("Model", format!("{}, {standing}", row.model)),
            fact("Place", format!("{} (node {})", row.site, row.node)),
            fact(
                "Load",
                format!(
                    "{} of {} VA allowed, rated {} VA",
                    format::fixed(row.load.value(), 1),
                    format::fixed(row.permitted.value(), 1),
                    format::fixed(row.rated.value(), 0)
                ),
            ),
        ]),
        Block::Heading("Taps and lugs".to_owned()),
        Block::Note(
            "De-energise first. Each circuit lands with one conductor on a tap and with the other on a common of the same secondary. Torque as \
             the maker says."
                .to_owned(),
        ),
        Block::Table(lug_plan(row)),
    ];
    let diagrams = one_line::diagrams(dossier)
        .into_iter()
        .filter(|diagram| diagram.transformer == row.label);
    blocks.extend(diagrams.map(Block::OneLine));
    blocks.push(Block::Heading("Circuits, joint by joint".to_owned()));
    blocks.push(Block::Note(format!(
        "{} {}",
        cases::expected(header),
        cases::low(header)
    )));
    blocks.extend(riser::of(dossier, &row.label).into_iter().map(Block::Riser));
    let profiles = profile::of(dossier, |circuit| circuit.transformer == row.label);
    if !profiles.is_empty() {
        blocks.push(Block::Heading("Voltage along the cable".to_owned()));
        blocks.push(Block::Note(profile::NOTE.to_owned()));
        blocks.push(Block::Profiles(profiles));
    }
    Section {
        title: format!("Transformer {}", row.label),
        orientation: Orientation::Landscape,
        new_page: true,
        blocks,
    }
}

fn lug_plan(row: &TransformerRow) -> Table {
    let mut table = Table::new(vec![
        Column::words("Secondary"),
        Column::words("Terminal"),
        Column::words("Tag"),
        Column::figures("Tap V"),
        Column::figures("Lugs"),
        Column::figures("Taken already"),
        Column::words("Circuits landing here"),
        Column::figures("Breaker A"),
        Column::figures("Load A"),
        Column::figures("Limit A"),
    ]);
    for secondary in &row.secondaries {
        for (position, lug) in secondary.lugs.iter().enumerate() {
            table.row(lug_cells(secondary, lug, position == 0));
        }
    }
    table.without_empty_columns()
}

fn lug_cells(secondary: &SecondaryRow, lug: &LugRow, first: bool) -> [String; 10] {
    let (terminal, volts) = match lug.pole {
        Pole::Tap(volts) => ("tap", format::trimmed(volts.value(), 2)),
        Pole::Common => ("common", String::new()),
    };
    let landing: Vec<String> = lug
        .circuits
        .iter()
        .map(|(circuit, gauge)| format!("{circuit}\u{a0}({gauge})").replace(' ', "\u{a0}"))
        .collect();
    let once = |text: String| if first { text } else { String::new() };
    [
        once(secondary.tag.clone()),
        terminal.to_owned(),
        lug.tag.clone(),
        volts,
        lug.lugs.to_string(),
        if lug.present > 0 {
            lug.present.to_string()
        } else {
            String::new()
        },
        landing.join(", "),
        once(format::trimmed(secondary.breaker.value(), 1)),
        once(format::fixed(secondary.amps.value(), 2)),
        once(format::fixed(secondary.limit.value(), 2)),
    ]
}

/// Joint-by-joint instructions with boxes to tick.
fn steps(dossier: &Dossier) -> Section {
    let unit = &dossier.header.length_unit;
    let mut table = Table::new(vec![
        Column::blank("Done", 4),
        Column::words("Joint"),
        Column::words("At"),
        Column::words("Lay"),
        Column::words("Join"),
        Column::words("Fixtures landing here"),
    ]);
    for circuit in &dossier.circuits {
        table.group(&format!(
            "{} from {}: tap {} and common {} of secondary {}",
            circuit.label, circuit.transformer, circuit.tap, circuit.common, circuit.secondary
        ));
        let joints = dossier.joints.iter();
        for joint in joints.filter(|joint| joint.circuit == circuit.label) {
            table.row(step(circuit, joint, unit));
        }
    }
    Section {
        title: "Joint by joint".to_owned(),
        orientation: Orientation::Landscape,
        new_page: true,
        blocks: vec![
            Block::Note(
                "De-energise before wiring and keep the transformer off until every joint of the circuit is closed. Use connectors listed for \
                 these conductors, and for direct burial where they are buried. Conductors are counted per pole."
                    .to_owned(),
            ),
            Block::Table(table),
        ],
    }
}

fn step(circuit: &CircuitRow, joint: &JointRow, unit: &str) -> [String; 6] {
    let start = if joint.from == circuit.transformer {
        format!("from the terminals of {}", joint.from)
    } else {
        format!("from {}", joint.from)
    };
    let outgoing: Vec<String> = joint
        .outgoing
        .iter()
        .map(|wires| format!("{} x {}", wires.count, wires.gauge))
        .collect();
    let hardware = if joint.hub {
        format!("hub {}", joint.hardware)
    } else {
        joint.hardware.clone()
    };
    let going = if outgoing.is_empty() {
        "nothing goes on".to_owned()
    } else {
        format!("out {}", outgoing.join(", "))
    };
    [
        String::new(),
        joint.id.clone(),
        joint.node.clone(),
        format!(
            "{}: {} {unit} of {}, {start}",
            joint.piece,
            format::length(joint.length),
            joint.incoming
        ),
        format!("{hardware}: in 1 x {}, {going}", joint.incoming),
        joint.fixtures.join(", "),
    ]
}

/// What the meter should show, with room for what it shows.
fn readings(dossier: &Dossier) -> Section {
    let header = &dossier.header;
    let mut terminals = Table::new(vec![
        Column::words("Circuit"),
        Column::words("Terminals"),
        Column::figures("Expected V"),
        Column::blank("Read V", 9),
        Column::figures("Expected A"),
        Column::figures("At most A"),
        Column::blank("Read A", 9),
        Column::blank("Tap moved to", 11),
    ]);
    for row in &dossier.circuits {
        terminals.row([
            row.label.clone(),
            format!(
                "{}, {}, {}/{}",
                row.transformer, row.secondary, row.tap, row.common
            ),
            format::fixed(row.source_volts.value(), 2),
            String::new(),
            format::fixed(row.expected_amps.value(), 2),
            format::fixed(row.limit.value(), 2),
        ]);
    }
    Section {
        title: "Readings".to_owned(),
        orientation: Orientation::Portrait,
        new_page: true,
        blocks: vec![
            Block::Note(format!(
                "{} Read after all lights have been on for some minutes. A reading outside its window, or far from what is expected, points to \
                 a wrong tap, a poor joint or a wrong length: find it before going on.",
                cases::expected(header)
            )),
            Block::WriteOn(vec![
                "Line voltage V".to_owned(),
                "Air °C".to_owned(),
                "Read by".to_owned(),
            ]),
            Block::Heading("At the terminals".to_owned()),
            Block::Table(terminals),
            Block::Heading("At the fixtures".to_owned()),
            Block::Table(fixture_readings(dossier)),
        ],
    }
}

fn fixture_readings(dossier: &Dossier) -> Table {
    let mut table = Table::new(vec![
        Column::words("Fixture"),
        Column::words("Joint"),
        Column::figures("Expected V"),
        Column::blank("Read V", 9),
        Column::words("Window V"),
        Column::figures("Low case V"),
        Column::figures("High case V"),
        Column::blank("Remark", 14),
    ]);
    for circuit in &dossier.circuits {
        table.group(&format!("{}, tap {}", circuit.label, circuit.tap));
        let fixtures = dossier.fixtures.iter();
        for row in fixtures.filter(|row| row.circuit == circuit.label) {
            table.row([
                row.tag.clone(),
                row.joint.clone(),
                format::fixed(row.expected.value(), 2),
                String::new(),
                format::window(row.window_min, row.window_max),
                format::fixed(row.low.value(), 2),
                format::fixed(row.high.value(), 2),
            ]);
        }
    }
    table
}
