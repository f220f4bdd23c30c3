// Run only by browsers that know no modules: start.js never runs there.
window.lessdinTrouble('old');
