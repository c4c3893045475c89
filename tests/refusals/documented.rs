//! The description of the job folder against what the reader reads.

use duskwright_solver::job;

const PAGE: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../cli/docs/job-folder.md");

#[test]
fn every_table_section_and_column_stands_in_the_description() {
    let page = std::fs::read_to_string(PAGE).expect("the description is part of the project");
    let schema = job::schema_text();
    let mut columns = 0;
    for line in schema.lines().filter(|line| !line.is_empty()) {
        if let Some(column) = line.strip_prefix("  ") {
            let name = column.split(' ').next().expect("a name");
            let metric_key = name.split('|').next().expect("one name");
            let described = page.contains(&name.replace('|', "\\|")) || page.contains(metric_key);
            assert!(described, "column {name} is not described");
            columns += 1;
        } else {
            let name = line.split(" (").next().expect("a name");
            let name = name
                .trim_start_matches("catalogue/")
                .trim_start_matches("job.toml ");
            let name = name.trim_matches(['[', ']']);
            assert!(page.contains(name), "{name} is not described");
        }
    }
    assert!(columns > 150, "{columns} columns");
}

#[test]
fn the_example_of_the_description_is_read() {
    let page = std::fs::read_to_string(PAGE).expect("the description is part of the project");
    let (_, rest) = page.split_once("```toml\n").expect("an example");
    let (example, _) = rest.split_once("```").expect("its end");
    let text = duskwright_tests::full_job().with("job.toml", example);
    let (job, notices) = job::read(&text).unwrap_or_else(|faults| panic!("{faults}"));
    assert_eq!(job.name, "Elm Court");
    // The example shows energy terms beside "installed"; everything else is read in silence.
    assert!(
        notices
            .iter()
            .all(|notice| notice.code == job::Code::TermsUnused),
        "{notices:?}"
    );
}

#[test]
fn every_sample_job_is_read() {
    let samples = concat!(env!("CARGO_MANIFEST_DIR"), "/../samples");
    let mut read = 0;
    for entry in std::fs::read_dir(samples).expect("the samples are part of the project") {
        let folder = entry.expect("a folder entry").path();
        let Ok(settings) = std::fs::read(folder.join(job::SETTINGS_FILE)) else {
            continue;
        };
        let wanted = job::files_wanted(&settings);
        let start = job::JobText::new().with(job::SETTINGS_FILE, settings);
        let text = wanted.into_iter().fold(start, |text, file| {
            match std::fs::read(folder.join(&file.name)) {
                Ok(bytes) => text.with(file.name, bytes),
                Err(_) => text,
            }
        });
        job::read(&text).unwrap_or_else(|faults| panic!("{}: {faults}", folder.display()));
        read += 1;
    }
    assert!(read >= 3, "{read} samples");
}
