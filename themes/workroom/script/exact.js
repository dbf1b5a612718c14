/* Exact numbers, as bookgen/reckon keeps them, and their digits, as bookgen/show.py prints them.
   A number is [numerator, denominator] of BigInt, reduced, the denominator above 0; null is not known. */

const ZERO = [0n, 1n], ONE = [1n, 1n], HALF = [1n, 2n];
const size = n => n < 0n ? -n : n;
/* What fits into a plain number is divided as one, which takes a tenth of the time. */
const gcd = (a, b) => {
  while (b >> 53n) [a, b] = [b, a % b];
  if (!b) return a;
  let [m, n] = [Number(b), Number(a % b)];
  while (n) [m, n] = [n, m % n];
  return BigInt(m);
};
const ratio = (n, d) => { const g = gcd(size(n), d); return [n / g, d / g]; };
const whole = n => [BigInt(n), 1n];
const exactly = text => { const [n, d = 1] = text.split("/"); return [BigInt(n), BigInt(d)]; };
const add = (a, b) => a && b && ratio(a[0] * b[1] + b[0] * a[1], a[1] * b[1]);
const less = (a, b) => a && b && ratio(a[0] * b[1] - b[0] * a[1], a[1] * b[1]);
const times = (a, b) => a && b && ratio(a[0] * b[0], a[1] * b[1]);
const over = (a, b) => a && b && ratio(a[0] * b[1], a[1] * b[0]);
const sum = list => list.reduce(add, ZERO);
const order = (a, b) => { const d = a[0] * b[1] - b[0] * a[1]; return d < 0n ? -1 : d > 0n ? 1 : 0; };
const least = (a, b) => order(a, b) > 0 ? b : a;
const most = (a, b) => order(a, b) < 0 ? b : a;
const floor = a => a[0] < 0n ? -((a[1] - 1n - a[0]) / a[1]) : a[0] / a[1];
const ceil = a => -floor([-a[0], a[1]]);
const halfUp = (a, step) => times([floor(add(over(a, step), HALF)), 1n], step);
const power = places => 10n ** BigInt(places);

/* To which side a number is rounded: half up, or down for the low end of a range, up for the high end and "at most". */
const NEAREST = 0, DOWN = -1, UP = 1;

const placed = (a, places, side) => {
  const scaled = size(a[0]) * power(places);
  if (!side) return (2n * scaled + a[1]) / (2n * a[1]);
  return (side === UP) === (a[0] > 0n) ? (scaled + a[1] - 1n) / a[1] : scaled / a[1];
};

const fixed = (a, places, side = NEAREST) => {
  const units = placed(a, places, side), digits = String(units).padStart(places + 1, "0");
  const text = places ? digits.slice(0, -places) + page.decimal + digits.slice(-places) : digits;
  return a[0] < 0n && units ? "−" + text : text;
};

const significant = (a, figures, side = NEAREST) => {
  let n = size(a[0]), d = a[1], lead = 0;
  if (n) {
    for (; n >= d * 10n; lead++) d *= 10n;
    for (; n < d; lead--) n *= 10n;
  }
  let places = Math.max(0, figures - 1 - lead);
  if (places && placed(a, places, side) >= power(figures)) places--; // 9.996 becomes 10.0
  return fixed(a, places, side);
};

const plain = (a, figures = 4, side = NEAREST) => {
  const text = significant(a, figures, side), enough = Math.max(4, decimals(text));
  for (let places = 0; places <= enough; places++) if (power(places) % a[1] === 0n) return fixed(a, places);
  return text;
};

const decimals = text => text.includes(page.decimal) ? text.length - text.indexOf(page.decimal) - 1 : 0;

/* A volume: exact where four decimals and five figures say it, else three significant figures. */
const millilitres = a => {
  const text = plain(a, 3);
  return text.replace(/^[0.,]+/, "").replace(/[.,]/, "").length > 5 ? significant(a, 3) : text;
};

/* A batch: as it is asked where short, else as the balance reads it, or as a volume. */
const ofBatch = (a, unit, step) => unit === "mL" ? millilitres(a) : 10000n % a[1] ? onStep(a, step) : plain(a);

const onStep = (a, step) => {
  if (!step) return plain(a);
  let places = 0;
  while (places < 7 && step[0] * power(places) % step[1]) places++;
  return fixed(a, places < 7 ? places : 3);
};

/* For machines: a plain decimal where it is finite, however long, else a fraction. */
const machine = a => {
  let rest = a[1], twos = 0, fives = 0;
  for (; rest % 2n === 0n; twos++) rest /= 2n;
  for (; rest % 5n === 0n; fives++) rest /= 5n;
  if (rest > 1n) return a.join("/");
  const places = Math.max(twos, fives);
  const digits = String(size(a[0]) * power(places) / a[1]).padStart(places + 1, "0");
  return (a[0] < 0n ? "-" : "") + (places ? digits.slice(0, -places) + "." + digits.slice(-places) : digits);
};

/* What the printed weight of counted drops is rounded to. */
const dropStep = (grams, step) => {
  let place = ONE;
  while (order(grams, times(place, whole(10))) >= 0) place = times(place, whole(10));
  while (order(grams, place) < 0) place = over(place, whole(10));
  return least(step, over(place, whole(10)));
};
