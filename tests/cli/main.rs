//! The program as a builder meets it: each test has a folder of its own, runs `hillwash` there, and looks at the exit
//! code, at both streams and at what lies in the folder afterwards.

mod bad_input;
mod bench_loop;
mod bench_truth;
mod cache;
mod contract;
mod dirt;
mod kept;
mod light;
mod look;
mod mark;
mod materials;
mod mix;
mod new;
mod parts;
mod people;
mod pictures;
mod plan;
mod share;
mod siege;
mod trust;
mod workbench;
