import type { Device } from "../../model/index.js";
import type { BlockPicture } from "../../report/block-picture.js";

/** Colours that memories take in turn. */
export const HUES = 8;

/** Largest area of a block, and area of a bit, in CSS pixels. */
const LARGEST = 7000;
const A_BIT = 0.11;

/** Pixels that a bit takes, the same for all blocks of a device. */
export function bitArea(device: Device): number {
  return Math.min(A_BIT, LARGEST / Math.max(...device.blocks.map(({ bits }) => bits)));
}

/**
 * Size of a block in CSS pixels. The area is in proportion to its bits; its sides follow the square root of the shape's
 * ratio, so that narrow shapes can still be seen.
 */
export function blockSize({ bits, shape }: Pick<BlockPicture, "bits" | "shape">, area: number) {
  const ratio = Math.min(3, Math.max(0.15, 4.5 * Math.sqrt(shape.width / shape.depth)));
  const width = Math.sqrt(bits * area * ratio);
  return { width, height: (bits * area) / width };
}

interface Props {
  readonly picture: BlockPicture;
  readonly area: number;
  readonly hueOf: ReadonlyMap<string, number>;
  readonly selected: string | null;
}

/** A block with its tenants and what is empty, as SVG. */
export function BlockGlyph({ picture, area, hueOf, selected }: Props) {
  const { width, height } = blockSize(picture, area);
  return (
    <svg width={width} height={height} viewBox={`0 0 ${width} ${height}`} aria-hidden="true">
      <rect class="cell" x="0" y="0" width={width} height={height} />
      {picture.patches.map((patch, i) => {
        const memory = patch.tenant === null ? null : picture.block.tenants[patch.tenant]!.memory;
        const box = {
          x: patch.x * width,
          y: patch.y * height,
          width: patch.width * width,
          height: patch.height * height,
        };
        const key = `${i}`;
        if (patch.filling !== "held" && patch.filling !== "replication") {
          return <rect key={key} class={`fill-${patch.filling}`} {...box} />;
        }
        const lit = selected !== null && memory === selected;
        return (
          <g key={key} data-memory={memory}>
            <rect class={`hue hue${hueOf.get(memory!) ?? 0} ${lit ? "lit" : ""}`} {...box} />
            {patch.filling === "replication" && <rect class="fill-replication" {...box} />}
          </g>
        );
      })}
      <rect class="edge" x="0.5" y="0.5" width={Math.max(0, width - 1)} height={Math.max(0, height - 1)} />
    </svg>
  );
}

/** Patterns of the fillings, to stand once in the document. */
export function Patterns() {
  return (
    <svg class="patterns" width="0" height="0" aria-hidden="true">
      <defs>
        <pattern
          id="replication"
          width="5"
          height="5"
          patternUnits="userSpaceOnUse"
          patternTransform="rotate(45)"
        >
          <rect class="ink-light" width="2" height="5" />
        </pattern>
        <pattern id="copies" width="5" height="5" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
          <rect class="ground-copies" width="5" height="5" />
          <rect class="ink-copies" width="2" height="5" />
        </pattern>
        <pattern id="width-padding" width="4" height="4" patternUnits="userSpaceOnUse">
          <rect class="ground-width" width="4" height="4" />
          <rect class="ink-width" width="1.4" height="4" />
        </pattern>
        <pattern id="depth-padding" width="4" height="4" patternUnits="userSpaceOnUse">
          <rect class="ground-depth" width="4" height="4" />
          <rect class="ink-depth" width="4" height="1" />
        </pattern>
        <pattern id="unreachable" width="5" height="5" patternUnits="userSpaceOnUse">
          <rect class="ground-lost" width="5" height="5" />
          <circle class="ink-lost" cx="2.5" cy="2.5" r="1.3" />
        </pattern>
      </defs>
    </svg>
  );
}
