/* The amounts that the text of a method prints, as bookgen/reckon/links.py finds them. */

const linked = lines => {
  const done = [];
  for (const link of page.links) {
    const chosen = link.rows.map(at => lines[at]), only = chosen.length === 1 ? chosen[0] : null;
    const printed = one => one.unshown ? one.grams : one.metered, unknown = chosen.find(one => !printed(one));
    const step = chosen.length && chosen.every(one => one.step && !one.unshown) ? chosen.map(one => one.step).reduce(most) : null;
    let grams = chosen.length && !unknown ? sum(chosen.map(printed)) : null;
    let drops = only ? only.drops : null, ml = only && !printed(only) ? only.ml : null;
    if ("last" in link) {
      const earlier = done.filter(one => "last" in one.link && one.link.rows.join() === link.rows.join());
      const left = less(grams, sum(earlier.map(one => one.grams)));
      const counted = earlier.reduce((all, one) => all + (one.drops || 0), 0);
      if (link.last) {
        grams = left;
        drops = drops === null ? null : drops - counted;
        ml = ml && less(ml, sum(earlier.map(one => one.ml).filter(Boolean)));
      } else {
        const portion = link.portion || ZERO;
        if (drops) {
          const count = Math.min(Number(halfUp(times(portion, whole(drops)), ONE)[0]), drops - counted);
          grams = times(grams, ratio(BigInt(count), BigInt(only.drops)));
          drops = count;
        } else {
          const part = times(grams, portion);
          grams = step && part && left ? least(halfUp(part, step), left) : part;
        }
        ml = times(ml, portion);
      }
    }
    done.push({link, grams, step, drops, ml, only, why: unknown ? unknown.why : common.said["no-ingredient"]});
  }
  return done;
};
