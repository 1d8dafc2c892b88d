//! Tools as documents: those an ask names, and a department's own list with
//! everything plate and papers give. kN, mm, kg; null is unknown.

use super::bounded;
use crate::contract::card_file::{CardFileError, read_document};
use crate::contract::reader::{Field, Limits};
use crate::domain::opening::template::ToolKind;
use crate::domain::opening::tool::{NAME_MOST, ToolError};
use crate::domain::opening::{AskedTool, Designation, Tool};
use serde::Serialize;
use std::collections::BTreeSet;
use utoipa::ToSchema;

/// Characters of what a plate says.
const PLATE: usize = 80;

/// What stands of a tool only in a department's list.
const FIELDS: &[&str] = &[
    "name",
    "kind",
    "force_kn",
    "blade_half_width_mm",
    "opening_mm",
    "mass_kg",
    "designation",
    "contradictions",
];

/// A department's tools, which its plans take where an ask names none.
#[derive(Debug, Serialize, ToSchema)]
pub struct ToolsFile {
    #[schema(required = false)]
    pub tools: Vec<ToolFile>,
}

/// A tool as its plate and papers give it; what is not known is null.
#[derive(Debug, Serialize, ToSchema)]
pub struct ToolFile {
    pub name: String,
    #[schema(value_type = String, example = "cutter")]
    pub kind: &'static str,
    /// Rated force: of a cutter in the notch of its blades.
    #[schema(required = false)]
    pub force_kn: Option<f64>,
    #[schema(required = false)]
    pub blade_half_width_mm: Option<f64>,
    /// Opening at the tips of cutter or spreader, stroke of a ram.
    #[schema(required = false)]
    pub opening_mm: Option<f64>,
    #[schema(required = false)]
    pub mass_kg: Option<f64>,
    /// As the plate gives it: NFPA 1936 or EN 13204.
    #[schema(required = false, example = "A4/B5/C6/D3/E4")]
    pub designation: Option<String>,
    /// Where plate and figures do not agree: said, never refused, not read.
    #[schema(required = false, read_only)]
    pub contradictions: Vec<String>,
}

impl ToolsFile {
    pub fn new(tools: &[Tool]) -> Self {
        Self {
            tools: tools.iter().map(ToolFile::from).collect(),
        }
    }
}

impl From<&Tool> for ToolFile {
    fn from(tool: &Tool) -> Self {
        Self {
            name: tool.name.clone(),
            kind: tool.kind.word(),
            force_kn: tool.force_kn,
            blade_half_width_mm: tool.blade_half_width_mm,
            opening_mm: tool.opening_mm,
            mass_kg: tool.mass_kg,
            designation: tool.designation.as_ref().map(ToString::to_string),
            contradictions: tool.contradictions(),
        }
    }
}

/// Reads a department's tools from a document of their own.
///
/// # Errors
/// Every field at fault, with its line.
pub fn tools_of_text(text: &[u8]) -> Result<Vec<Tool>, CardFileError> {
    let read = read_document(text, |document| {
        document
            .object(&["tools"])
            .then(|| read_own(&document.get("tools")))
    });
    read.map(|(tools, _)| tools)
}

fn read_own(list: &Field<'_>) -> Vec<Tool> {
    let mut names = BTreeSet::new();
    let mut tools = Vec::new();
    for item in bounded(list) {
        let Some(tool) = read_own_tool(&item) else {
            continue;
        };
        if names.insert(tool.name.clone()) {
            tools.push(tool);
        } else {
            let said = format!("there are two tools named `{}`", tool.name);
            item.get("name").refuse(said, "a name for each tool alone");
        }
    }
    tools
}

fn read_own_tool(item: &Field<'_>) -> Option<Tool> {
    let item = item.clone().required("an object with name and kind");
    if !item.object(FIELDS) {
        return None;
    }
    let kind = item.get("kind").required(&kinds());
    let kind = kind.word(ToolKind::ALL, ToolKind::word);
    let plate = item.get("designation");
    let designation = plate.text(PLATE).map(|text| {
        let accepted = "a designation as NFPA 1936 or EN 13204 writes it, or null";
        let read = Designation::parse(&text);
        read.map_err(|error| plate.refuse(error.to_string(), accepted))
    });
    let tool = named(&item).zip(kind).map(|(name, kind)| Tool {
        force_kn: figure(&item, "force_kn"),
        blade_half_width_mm: figure(&item, "blade_half_width_mm"),
        opening_mm: figure(&item, "opening_mm"),
        mass_kg: figure(&item, "mass_kg"),
        designation: designation.and_then(Result::ok),
        ..Tool::named(name, kind)
    });
    sound(&item, tool?)
}

/// The tools of an ask.
pub(super) fn read_asked(list: &Field<'_>) -> Vec<AskedTool> {
    let read = |item: &Field<'_>| {
        let item = item.clone().required("an object with a name");
        if !item.object(&["name", "kind", "force_kn", "blade_half_width_mm"]) {
            return None;
        }
        // What cuts is asked for most; a tool of no kind is planned as a cutter.
        let kind = item.get("kind").word(ToolKind::ALL, ToolKind::word);
        let kind = kind.unwrap_or(ToolKind::Cutter);
        let tool = named(&item).map(|name| Tool {
            force_kn: figure(&item, "force_kn"),
            blade_half_width_mm: figure(&item, "blade_half_width_mm"),
            ..Tool::named(name, kind)
        });
        sound(&item, tool?).map(|tool| tool.asked())
    };
    bounded(list).iter().filter_map(read).collect()
}

fn named(item: &Field<'_>) -> Option<String> {
    item.get("name").required_text(NAME_MOST)
}

/// Ranges are the tool's own to judge, with its hints on slips of the unit.
fn figure(item: &Field<'_>, name: &str) -> Option<f64> {
    let field = item.get(name);
    field.number(&Limits::new(f64::MIN, f64::MAX, ""))
}

/// The tool, unless something is wrong with it, which is said at its fields.
fn sound(item: &Field<'_>, tool: Tool) -> Option<Tool> {
    let faults = tool.faults();
    for fault in &faults {
        item.get(fault.field())
            .refuse(fault.to_string(), accepted(fault));
    }
    faults.is_empty().then_some(tool)
}

fn accepted(fault: &ToolError) -> String {
    match fault {
        ToolError::Name => format!("a text of 1 to {NAME_MOST} characters"),
        ToolError::OutOfRange { range, .. } => {
            format!(
                "a number from {} to {} {}",
                range.least, range.most, range.unit
            )
        }
        ToolError::NotOfThisKind { .. } => "null".to_owned(),
    }
}

fn kinds() -> String {
    let words: Vec<&str> = ToolKind::ALL.iter().map(|k| k.word()).collect();
    words.join(", ")
}
