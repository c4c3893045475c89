//! Faults in words: what is likely wrong, where, and what to do about it.

use super::{Element, Fault, Spot};
use crate::job::Job;
use crate::service::point::Names;

/// Words for the faults of one transformer.
#[derive(Debug)]
pub struct Words<'a> {
    /// The job.
    pub job: &'a Job,
    /// Its names.
    pub names: &'a Names<'a>,
}

impl Words<'_> {
    /// The cause in one sentence; `size` as at [`Fault`].
    #[must_use]
    pub fn cause(&self, fault: Fault, size: f64) -> String {
        let names = self.names;
        let letter = names.transformer();
        match fault {
            Fault::MainsOff => format!("no mains at the receptacle of transformer {letter}"),
            Fault::GroundFault => {
                format!("the ground-fault device that feeds transformer {letter} has tripped")
            }
            Fault::SwitchOff => {
                format!("the switch before transformer {letter} is off, or a control has failed")
            }
            Fault::ClockOff => {
                format!("the timer of transformer {letter} is off or set to other hours")
            }
            Fault::SensorOff => {
                format!("the light sensor of transformer {letter} sees light or has failed")
            }
            Fault::SensorLit => {
                format!("the light sensor of transformer {letter} sees its own lights")
            }
            Fault::TransformerDead => format!("transformer {letter} gives no voltage"),
            Fault::CutOut => {
                format!("the thermal cut-out of transformer {letter} opens and closes")
            }
            Fault::BreakerOpen(secondary) => format!(
                "the breaker of secondary {} of transformer {letter} is open",
                names.secondary(secondary)
            ),
            Fault::ShortTripped(secondary) => format!(
                "a short on secondary {} of transformer {letter} has tripped its breaker",
                names.secondary(secondary)
            ),
            Fault::ShortHeld(spot) => {
                format!(
                    "a short of about {} at {}, too far off to trip the breaker",
                    ohm(size),
                    self.spot(spot)
                )
            }
            Fault::LineLow | Fault::LineHigh => {
                let word = if size < 1.0 { "low" } else { "high" };
                format!(
                    "line voltage {word}: about {:.0} % of nominal at transformer {letter}",
                    100.0 * size
                )
            }
            Fault::WrongTap(run, tap) => {
                let secondary = self.names.secondary_of(run);
                format!(
                    "circuit {} is on tap {}",
                    names.circuit(run),
                    names.tap(secondary, tap)
                )
            }
            Fault::Swapped(a, b) => format!(
                "the home runs of circuits {} and {} are swapped",
                names.circuit(a),
                names.circuit(b)
            ),
            Fault::CommonMoved(run, common) => {
                let secondary = self.names.secondary_of(run);
                format!(
                    "the common wire of circuit {} is on common {}, which carries more than planned",
                    names.circuit(run),
                    names.common(secondary, common)
                )
            }
            Fault::Joined(a, b) => format!(
                "circuits {} and {} are joined at {}",
                names.circuit(a.0),
                names.circuit(b.0),
                names.joint(a.0, a.1)
            ),
            Fault::Crossed(a, b) => format!(
                "one conductor of piece {} is crossed with one of piece {}",
                names.piece(a.0, a.1),
                names.piece(b.0, b.1)
            ),
            Fault::Open(element) => format!(
                "{} is open: a conductor or a joint at its ends",
                self.element(element)
            ),
            Fault::Resistive(element) => {
                format!(
                    "a bad joint at an end of {}, about {}",
                    self.element(element),
                    ohm(size)
                )
            }
            Fault::Wet(run, joint) => {
                format!(
                    "water in joint {}, about {} between the poles",
                    names.joint(run, joint),
                    ohm(size)
                )
            }
            Fault::ThinPiece(run, joint, cable) => format!(
                "piece {} is {} instead of the planned cable",
                names.piece(run, joint),
                self.job.cable(cable).gauge
            ),
            Fault::ThinRun(run, cable) => format!(
                "circuit {} is wired in {} instead of the planned cable",
                names.circuit(run),
                self.job.cable(cable).gauge
            ),
            Fault::Longer(run, joint) => {
                format!(
                    "piece {} is about {size:.1} times as long as planned",
                    names.piece(run, joint)
                )
            }
            Fault::Missing(run, lead) => {
                format!("fixture {} is not connected", names.fixture(run, lead))
            }
            Fault::Dead(run, lead) => format!(
                "fixture {} has voltage and does not work",
                names.fixture(run, lead)
            ),
            Fault::Lighter(run, lead) | Fault::Heavier(run, lead) => format!(
                "fixture {} draws about {size:.1} times what was planned: another model or lamp",
                names.fixture(run, lead)
            ),
            Fault::ExtraLoad(run, joint) => {
                format!(
                    "about {size:.0} VA more than planned at joint {}",
                    names.joint(run, joint)
                )
            }
        }
    }

    /// What to do, after the circuit was made safe.
    #[must_use]
    pub fn remedy(&self, fault: Fault) -> &'static str {
        match fault {
            Fault::MainsOff => {
                "Have a licensed electrician find out why the receptacle is dead; look at the panel's breaker first, without opening the panel."
            }
            Fault::GroundFault => {
                "Press reset once. If it trips again leave it off: a licensed electrician must find the leak on the mains side."
            }
            Fault::SwitchOff => {
                "Set the switch on; if it is on, a licensed electrician must look at switch and controls."
            }
            Fault::ClockOff => "Set the timer's clock and hours; try its by-hand setting.",
            Fault::SensorOff => {
                "Cover the sensor and wait two minutes; if the lights come on, move or shade it, else have it replaced by a licensed electrician."
            }
            Fault::SensorLit => {
                "Turn or shade the sensor so that none of the lights it switches reaches it."
            }
            Fault::TransformerDead => {
                "Have a licensed electrician check the supply to the primary and replace the transformer."
            }
            Fault::CutOut => {
                "Measure the load against the rating and give the transformer air; take load off before it is switched on again."
            }
            Fault::BreakerOpen(_) => "Reset the breaker once. If it opens again look for a short.",
            Fault::ShortTripped(_) => {
                "Take all home runs of this secondary off their lugs, reset the breaker, and put them back one by one: the one that trips it has the short. Halve that run at its joints to find the place."
            }
            Fault::ShortHeld(_) => {
                "Leave it off: the run is heating. Open the run at the joint named and look for pinched or pierced cable."
            }
            Fault::LineLow | Fault::LineHigh => {
                "A licensed electrician or the utility must look at the supply; until then another tap can bring the voltage back."
            }
            Fault::WrongTap(..) => "Move the home run to the tap of the plan.",
            Fault::Swapped(..) => "Exchange the two home runs, both wires of each.",
            Fault::CommonMoved(..) => "Move the common wire to the common of the plan.",
            Fault::Joined(..) => "Open the joint and part the two circuits, pole by pole.",
            Fault::Crossed(..) => {
                "Open the joint where the two pieces begin and put each conductor back on its own circuit."
            }
            Fault::Open(_) => {
                "Open the joints at both ends and look for a loose or cut conductor; then look for damage along the route."
            }
            Fault::Resistive(_) => "Remake the joints at both ends with new connectors.",
            Fault::Wet(..) => {
                "Cut the joint out and make it anew with a connector sealed for burial."
            }
            Fault::ThinPiece(..) | Fault::ThinRun(..) => {
                "Read the print on the jacket; replace the piece, or plan again with what is in the ground."
            }
            Fault::Longer(..) => {
                "Measure the piece; shorten it, or put its length into the job and plan the tap again."
            }
            Fault::Missing(..) => "Connect the fixture.",
            Fault::Dead(..) => "Replace the lamp or fixture by one of the planned model.",
            Fault::Lighter(..) | Fault::Heavier(..) => {
                "Read the label of the fixture and its lamp; put in the planned one."
            }
            Fault::ExtraLoad(..) => "Look for a fixture or cable that is not in the plan.",
        }
    }

    fn element(&self, element: Element) -> String {
        match element {
            Element::Piece(run, joint) => format!(
                "piece {} (to joint {})",
                self.names.piece(run, joint),
                self.names.joint(run, joint)
            ),
            Element::Lead(run, lead) => {
                format!("the lead of fixture {}", self.names.fixture(run, lead))
            }
        }
    }

    fn spot(&self, spot: Spot) -> String {
        match spot {
            Spot::Joint(run, joint) => format!("joint {}", self.names.joint(run, joint)),
            Spot::Fixture(run, lead) => format!("fixture {}", self.names.fixture(run, lead)),
        }
    }
}

/// Ohms in two significant digits.
fn ohm(value: f64) -> String {
    if value >= 10.0 {
        format!("{value:.0} ohm")
    } else if value >= 1.0 {
        format!("{value:.1} ohm")
    } else if value >= 0.1 {
        format!("{value:.2} ohm")
    } else {
        format!("{value:.3} ohm")
    }
}
