//! How the place of a step is described: its fields stand in the step itself, and
//! a step without a place has none of them. A generated description of an optional
//! part would ask for all of them or for a step that is null.

use super::view::PlacementView;
use std::borrow::Cow;
use utoipa::openapi::schema::{ObjectBuilder, OneOfBuilder, Schema, Type};
use utoipa::openapi::{Ref, RefOr};
use utoipa::{PartialSchema, ToSchema};

/// The schema of an optional [`PlacementView`] whose fields stand in its step.
pub(super) struct StepPlace;

impl PartialSchema for StepPlace {
    fn schema() -> RefOr<Schema> {
        let absent = ObjectBuilder::new().schema_type(Type::Null);
        // A place always names its span, so a step without that has no place.
        let without = ObjectBuilder::new()
            .schema_type(Type::Object)
            .description(Some("A step that has no place"))
            .property("span", absent);
        OneOfBuilder::new()
            .item(Ref::from_schema_name(PlacementView::name()))
            .item(without)
            .description(Some("Where a cut goes"))
            .into()
    }
}

impl ToSchema for StepPlace {
    fn name() -> Cow<'static, str> {
        Cow::Borrowed("StepPlace")
    }

    fn schemas(schemas: &mut Vec<(String, RefOr<Schema>)>) {
        schemas.push((PlacementView::name().into_owned(), PlacementView::schema()));
        PlacementView::schemas(schemas);
    }
}
