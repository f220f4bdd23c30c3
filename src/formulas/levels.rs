//! Energy sums, averages, background removal, distance.
