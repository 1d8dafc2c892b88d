//! What the audit tells of: every action by the word it is kept under, and how a
//! person reads it after the name of who did it. A line with a word that is not
//! here is a mistake of this program.

/// Word in the table, and in a sentence.
pub const ACTIONS: &[(&str, &str)] = &[
    ("card-created", "made the card"),
    ("card-imported", "made the card from a file"),
    ("details-changed", "changed the card’s details"),
    ("findings-added", "added findings"),
    ("taken-over", "took over what another book has"),
    ("card-reviewed", "reviewed the card"),
    (
        "review-days-set",
        "set after how many days a review is due again",
    ),
    ("change-asked", "asked for a change of a finding"),
    (
        "asked-change-refused",
        "refused a change that was asked for",
    ),
    ("findings-offered", "offered findings, as a partner"),
    ("finding-corrected", "corrected a finding"),
    ("finding-accepted", "accepted a finding"),
    ("finding-declined", "declined a finding"),
    ("finding-withdrawn", "withdrew a finding"),
    ("findings-accepted", "accepted findings"),
    ("findings-declined", "declined findings"),
    ("findings-withdrawn", "withdrew findings"),
    ("findings-changed", "changed where findings stand"),
    (
        "finding-resolved",
        "let a bare finding stand beside a component",
    ),
    (
        "resolution-taken-back",
        "took back that a bare finding stands",
    ),
    ("notes-added", "wrote notes"),
    ("notes-offered", "offered notes"),
    ("note-accepted", "accepted an offered note"),
    ("note-declined", "declined an offered note"),
    ("note-resolved", "resolved a note"),
    ("note-reopened", "opened a resolved note again"),
    ("note-hidden", "hid a note"),
    ("note-shown", "showed a hidden note again"),
    ("note-withdrawn", "withdrew a note"),
    ("photo-added", "added a photo"),
    ("photo-removed", "removed a photo"),
    ("visibility-changed", "changed who may read the card"),
    ("link-made", "made a link to the card"),
    ("link-revoked", "ended a link to the card"),
    ("policy-set", "changed the policy"),
    ("plan-settings-set", "changed tools, rules or own openings"),
    ("partner-asked", "asked for a partnership"),
    ("partner-accepted", "accepted a partnership"),
    ("partner-declined", "declined a partnership"),
    (
        "partner-taken-back",
        "took back the asking for a partnership",
    ),
    ("partner-ended", "ended a partnership"),
    (
        "partner-gone",
        "went, and with their department the partnership",
    ),
    ("deletion-asked", "asked for the department to be deleted"),
    (
        "deletion-called-off",
        "called the deletion of the department off",
    ),
    ("set-up", "set the department up"),
    ("once-link-made", "made a link to join or to a new password"),
    ("once-link-revoked", "took back a link that works once"),
    ("member-added", "was made a member"),
    ("member-joined", "joined by an invitation"),
    ("member-left", "let somebody in no more"),
    ("member-back", "let somebody in again"),
    ("roles-set", "changed somebody’s roles"),
    ("key-made", "made a key for a program"),
    ("key-revoked", "ended a key for a program"),
    ("signed-in", "signed in"),
    ("signed-out", "ended a session"),
    ("passkey-added", "added a passkey"),
    ("passkey-used", "used a passkey"),
    (
        "passkey-doubted",
        "used a passkey that may be a copy, and was refused",
    ),
    ("passkey-removed", "removed a passkey"),
    ("passkeys-ended", "ended every passkey of a member"),
    ("password-set", "set a password"),
    ("password-reset", "set a new password by a keeper’s link"),
];

/// How a person reads an action.
pub fn action_in_words(word: &str) -> Option<&'static str> {
    let known = ACTIONS.iter().find(|(known, _)| *known == word)?;
    Some(known.1)
}
