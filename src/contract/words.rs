//! OpenAPI schemas of the domain's word lists. The domain itself knows nothing
//! of schemas.

use crate::domain::annotation::{Picture, Standing};
use crate::domain::body::{BPillar, Hinge, SpanGroup, StyleId};
use crate::domain::card::PowerSource;
use crate::domain::finding::{Depth, Source, Status};
use crate::domain::frame::Side;
use crate::domain::kind::{Bag, Kind};
use crate::domain::opening::template::{Act, ContactKind, ToolKind};
use crate::domain::opening::{
    Answer, Care, Contact, CutStatus, Fired, Isolated, Reach, Resting, ToolFit, Trapped,
};
use crate::domain::policy::{BPillarFirst, CushionPolicy};
use crate::domain::vehicle::{Drive, Roof, WheelSide};
use crate::domain::zone::{Class, ComponentClass, WarningCode};
use utoipa::openapi::schema::{Object, ObjectBuilder, SchemaType, Type};

/// A list of words that a field takes.
pub(super) trait Words {
    /// Whether null is taken too: unknown.
    const NULL: bool = false;
    fn words() -> Vec<&'static str>;
}

macro_rules! impl_words {
    ($($name:ident),+ $(,)?) => {$(
        impl Words for $name {
            fn words() -> Vec<&'static str> {
                $name::ALL.iter().map(|word| word.word()).collect()
            }
        }
    )+};
}

impl_words!(
    Act,
    Answer,
    BPillar,
    BPillarFirst,
    Bag,
    Care,
    Class,
    ComponentClass,
    Contact,
    ContactKind,
    CushionPolicy,
    CutStatus,
    Depth,
    Drive,
    Fired,
    Hinge,
    Isolated,
    Kind,
    Picture,
    PowerSource,
    Reach,
    Resting,
    Roof,
    Source,
    SpanGroup,
    Standing,
    Status,
    StyleId,
    ToolFit,
    ToolKind,
    Trapped,
    WarningCode,
    WheelSide,
);

impl Words for Side {
    fn words() -> Vec<&'static str> {
        vec!["left", "centre", "right"]
    }
}

impl<W: Words> Words for Option<W> {
    const NULL: bool = true;
    fn words() -> Vec<&'static str> {
        W::words()
    }
}

/// A string that is one of the words, or null where the field may be unknown.
pub(super) fn word_schema<W: Words>() -> Object {
    let words = W::words().into_iter().map(|word| Some(word.to_owned()));
    let null = W::NULL.then_some(None);
    let types: SchemaType = if W::NULL {
        SchemaType::from_iter([Type::String, Type::Null])
    } else {
        SchemaType::new(Type::String)
    };
    ObjectBuilder::new()
        .schema_type(types)
        .enum_values(Some(words.chain(null)))
        .build()
}
