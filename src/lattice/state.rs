//! The state of a lattice as bytes: what another program needs to go on exactly where this one stopped.
//!
//! Only what changes from step to step is written: populations with their ghosts, the column behind the outlet, forces, the count of steps. Everything else follows
//! from what the lattice was built of, so a state is read into a lattice that was built alike; nothing is allocated by what the bytes say.
//! Numbers are little-endian and bit by bit what they were; a list has its length in front, so that a state of another lattice is noticed.

use std::io::{self, Read, Write};

use crate::lattice::outlet::Outlet;
use crate::lattice::row_collision::RowCollision;
use crate::lattice::simulation::Lattice;
use crate::lattice::walls::WallForce;

/// Numbers that are turned into bytes at a time.
const BLOCK: usize = 4096;

/// Most steps that a state can have: so far counts are exact as `f64` too.
const MOST_STEPS: u64 = 1 << 53;

/// A number of fixed size that is kept bit by bit.
pub trait Number: Copy + Default {
    /// Its bytes.
    type Bytes: AsRef<[u8]> + AsMut<[u8]> + Default;
    /// As little-endian bytes.
    fn to_bytes(self) -> Self::Bytes;
    /// From them.
    fn from_bytes(bytes: Self::Bytes) -> Self;
}

macro_rules! number {
    ($kind:ty, $size:literal) => {
        impl Number for $kind {
            type Bytes = [u8; $size];

            #[inline]
            fn to_bytes(self) -> [u8; $size] {
                self.to_le_bytes()
            }

            #[inline]
            fn from_bytes(bytes: [u8; $size]) -> Self {
                Self::from_le_bytes(bytes)
            }
        }
    };
}

number!(f32, 4);
number!(f64, 8);
number!(u64, 8);

/// Writes one number.
///
/// # Errors
/// What `out` gives.
pub fn put<N: Number>(out: &mut dyn Write, number: N) -> io::Result<()> {
    out.write_all(number.to_bytes().as_ref())
}

/// Reads one number.
///
/// # Errors
/// What `from` gives; that it is too short.
pub fn take<N: Number>(from: &mut dyn Read) -> io::Result<N> {
    let mut bytes = N::Bytes::default();
    from.read_exact(bytes.as_mut())?;
    Ok(N::from_bytes(bytes))
}

/// Writes a list of numbers, its length in front.
///
/// # Errors
/// What `out` gives.
pub fn put_list<N: Number>(out: &mut dyn Write, numbers: &[N]) -> io::Result<()> {
    put(out, numbers.len() as u64)?;
    let mut bytes = Vec::with_capacity(BLOCK * size_of::<N>());
    for block in numbers.chunks(BLOCK) {
        bytes.clear();
        for number in block {
            bytes.extend_from_slice(number.to_bytes().as_ref());
        }
        out.write_all(&bytes)?;
    }
    Ok(())
}

/// Reads a list of numbers that must have the length of `numbers`.
///
/// # Errors
/// What `from` gives; that it is too short; that the list has another length.
pub fn take_list<N: Number>(from: &mut dyn Read, numbers: &mut [N]) -> io::Result<()> {
    let length: u64 = take(from)?;
    if length != numbers.len() as u64 {
        return Err(not_fitting(&format!(
            "a list has {length} numbers where {} belong",
            numbers.len()
        )));
    }
    let size = size_of::<N>();
    let mut bytes = vec![0; BLOCK.min(numbers.len()) * size];
    for block in numbers.chunks_mut(BLOCK) {
        let part = &mut bytes[..size_of_val(block)];
        from.read_exact(part)?;
        for (number, bytes) in block.iter_mut().zip(part.chunks_exact(size)) {
            let mut own = N::Bytes::default();
            own.as_mut().copy_from_slice(bytes);
            *number = N::from_bytes(own);
        }
    }
    Ok(())
}

/// That a state does not belong to what it is read into.
pub fn not_fitting(why: &str) -> io::Error {
    io::Error::new(io::ErrorKind::InvalidData, why)
}

impl<C: RowCollision<Q>, const Q: usize> Lattice<C, Q> {
    /// Writes the state, after pairs of steps.
    ///
    /// # Errors
    /// What `out` gives.
    pub fn save(&self, out: &mut dyn Write) -> io::Result<()> {
        debug_assert!(self.steps.is_multiple_of(2), "states lie between pairs");
        put(out, self.steps)?;
        for force in [&self.earlier_force, &self.force] {
            put_list(out, [force.body, force.rim].as_flattened())?;
        }
        put(out, self.walls.velocity_factor())?;
        for slot in self.field.cells() {
            put_list(out, slot)?;
        }
        match &self.outlet {
            Some(outlet) => outlet.save(out),
            None => Ok(()),
        }
    }

    /// Reads a state into a lattice that was built as the one that wrote it. After an error the state is undefined.
    ///
    /// # Errors
    /// What `from` gives; that the state is too short or of another lattice.
    pub fn restore(&mut self, from: &mut dyn Read) -> io::Result<()> {
        let steps = take(from)?;
        if steps > MOST_STEPS || steps % 2 != 0 {
            return Err(not_fitting("the count of steps is none"));
        }
        self.steps = steps;
        for force in [&mut self.earlier_force, &mut self.force] {
            let mut numbers = [[0.0; 3]; 2];
            take_list(from, numbers.as_flattened_mut())?;
            let [body, rim] = numbers;
            *force = WallForce { body, rim };
        }
        self.walls.scale_velocity(f64::from(take::<f32>(from)?));
        for slot in self.field.cells_mut() {
            take_list(from, slot)?;
        }
        match &mut self.outlet {
            Some(outlet) => outlet.restore(from),
            None => Ok(()),
        }
    }
}

impl Outlet {
    /// Numbers of a cell of the column: density and velocity of the cell itself and of the last one.
    const NUMBERS: usize = 8;

    fn save(&self, out: &mut dyn Write) -> io::Result<()> {
        put(out, self.incoming)?;
        let numbers: Vec<f64> = self.numbers().flatten().collect();
        put_list(out, &numbers)
    }

    fn restore(&mut self, from: &mut dyn Read) -> io::Result<()> {
        self.incoming = take(from)?;
        let mut numbers: Vec<f64> = self.numbers().flatten().collect();
        take_list(from, &mut numbers)?;
        for (cell, numbers) in numbers.chunks_exact(Self::NUMBERS).enumerate() {
            self.set_numbers(cell, numbers);
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_come_back_bit_by_bit() {
        let numbers = [0.0, -0.0, f32::NAN, f32::MIN_POSITIVE / 8.0, -1.5e30];
        let many: Vec<f64> = (0..3 * BLOCK + 7).map(|n| (n as f64).sin()).collect();
        let mut bytes = Vec::new();
        put_list(&mut bytes, &numbers).unwrap();
        put(&mut bytes, 77_u64).unwrap();
        put_list(&mut bytes, &many).unwrap();
        let mut from = bytes.as_slice();
        let mut back = [0.0_f32; 5];
        take_list(&mut from, &mut back).unwrap();
        assert_eq!(back.map(f32::to_bits), numbers.map(f32::to_bits));
        assert_eq!(take::<u64>(&mut from).unwrap(), 77);
        let mut back = vec![0.0_f64; many.len()];
        take_list(&mut from, &mut back).unwrap();
        assert_eq!(back, many);
        assert!(from.is_empty());
    }

    #[test]
    fn a_list_of_another_length_and_one_that_ends_early_are_refused() {
        let mut bytes = Vec::new();
        put_list(&mut bytes, &[1.0_f64; 4]).unwrap();
        let longer = take_list(&mut bytes.as_slice(), &mut [0.0_f64; 5]).unwrap_err();
        assert_eq!(longer.kind(), io::ErrorKind::InvalidData);
        let cut = take_list(&mut &bytes[..bytes.len() - 1], &mut [0.0_f64; 4]).unwrap_err();
        assert_eq!(cut.kind(), io::ErrorKind::UnexpectedEof);
    }
}
