const FILLINGS = [
  ["held", "holds bits"],
  ["replication", "a copy, for more ports"],
  ["widthPadding", "word too wide"],
  ["depthPadding", "words not used"],
  ["unreachable", "out of the shape's reach"],
] as const;

/** What colours and patterns mean. */
export function Legend() {
  return (
    <ul class="legend">
      {FILLINGS.map(([filling, words]) => (
        <li key={filling}>
          <svg width="22" height="14" aria-hidden="true">
            {filling === "held" || filling === "replication" ? (
              <rect class="hue hue0" width="22" height="14" />
            ) : null}
            {filling === "held" ? null : <rect class={`fill-${filling}`} width="22" height="14" />}
          </svg>
          {words}
        </li>
      ))}
      <li class="faint">Words run down, bits across; areas are in proportion to bits.</li>
    </ul>
  );
}
