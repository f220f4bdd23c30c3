import init, { solve } from './lessdin.js';

await init();
const { headline, values, link } = solve('#/alone/on=44.3/off=31.0/part=cabinet.fans');
console.log(headline); // Stopping cabinet fans gained 13.3 ± 0.7 dB. No replacement for that part can gain more here.
const alone = values.find((value) => value.id === 'alone');
console.log(alone.value.toFixed(2), alone.unit, alone.bound, alone.grade); // 44.09 dB exact solid
console.log(link); // #/alone/v1/on=44.3/off=31.0/part=cabinet.fans
