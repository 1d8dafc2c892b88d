//! Reading a tool from the form, as its plate and papers give it.

use crate::domain::opening::template::ToolKind;
use crate::domain::opening::tool::{Tool, ToolError};
use crate::domain::opening::{Designation, tool};
use crate::web::typed::{Asked, Typed};

pub const NAME: Asked<'static> = Asked::new("name", "Name");
pub const KIND: Asked<'static> = Asked::new("kind", "Kind");
pub const FORCE: Asked<'static> = Asked::new("force_kn", "Rated force");
pub const BLADE: Asked<'static> = Asked::new("blade_half_width_mm", "Blade half-width");
pub const OPENING: Asked<'static> = Asked::new("opening_mm", "Opening");
pub const MASS: Asked<'static> = Asked::new("mass_kg", "Mass");
pub const PLATE: Asked<'static> = Asked::new("designation", "Plate");

/// Characters of what a plate says.
const PLATE_MOST: usize = 80;

/// The tool of the form; `None` with every fault said at its field.
pub fn tool(typed: &mut Typed, others: &[Tool]) -> Option<Tool> {
    let name = typed.required_text(NAME, tool::NAME_MOST, "say what the tool is called");
    let kind = typed.required_word(KIND, ToolKind::from_word);
    // Ranges are the tool's own to judge, with its hints on slips of the unit.
    let mut figure = |field| typed.number(field, f64::MIN..=f64::MAX, "");
    let (force_kn, blade_half_width_mm) = (figure(FORCE), figure(BLADE));
    let (opening_mm, mass_kg) = (figure(OPENING), figure(MASS));
    let plate = typed.text(PLATE, PLATE_MOST);
    let designation = plate.and_then(|text| match Designation::parse(&text) {
        Ok(designation) => Some(designation),
        Err(error) => {
            typed.refuse(PLATE, error.to_string());
            None
        }
    });
    let tool = Tool {
        name: name?,
        kind: kind?,
        force_kn,
        blade_half_width_mm,
        opening_mm,
        mass_kg,
        designation,
    };
    for fault in tool.faults() {
        typed.refuse(field_of(&fault), fault.to_string());
    }
    if others.iter().any(|other| other.name == tool.name) {
        typed.refuse(
            NAME,
            "a tool of this name is on the list: take that one off first",
        );
    }
    typed.is_valid().then_some(tool)
}

fn field_of(fault: &ToolError) -> Asked<'static> {
    let all = [NAME, FORCE, BLADE, OPENING, MASS, PLATE];
    let own = all.into_iter().find(|asked| asked.name == fault.field());
    own.unwrap_or(KIND)
}
