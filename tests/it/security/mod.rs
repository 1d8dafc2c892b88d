//! What an attacker would try, each kind of attack in a file of its own. Where a
//! new address, page or field could bring a hole back, the tests ask for what
//! there is: the one table of addresses, the forms on the pages, the tables of
//! the book.

mod county;
mod cross_site;
mod every_answer;
mod extra_fields;
mod files;
mod filling;
mod fixation;
mod guessing;
mod injection;
mod pages;
mod redirects;
mod rows;
mod sizes;
mod swapped_ids;

pub use county::{County, Person, Place};
