/**
 * Look of the charts: one style sheet, for light and for dark surroundings.
 *
 * Axes and text take the colour of the surroundings (`currentColor`). A picture that is a document of its own, or an image
 * in a page, brings its own ink and paper; one that is written into a page takes those of the page. The six colours of the
 * data differ in lightness too, and stay apart for the colour-blind.
 *
 * Source of the palette: M. Okabe, K. Ito, "Color Universal Design", 2008 (from memory), darkened or lightened here for
 * contrast with the paper.
 *
 * @module
 */

/** The style sheet; every class begins with `plot-`. */
export const STYLE = `
svg.plot{--plot-c0:#0067a3;--plot-c1:#c84e00;--plot-c2:#007d5b;--plot-c3:#a8457f;--plot-c4:#9a6a00;--plot-c5:#2f86b8;
font-family:system-ui,-apple-system,"Segoe UI","DejaVu Sans",sans-serif;font-size:11px}
svg.plot:root{color:#1f2328;background:#fff}
@media (prefers-color-scheme:dark){
svg.plot{--plot-c0:#56b4e9;--plot-c1:#ff8a3d;--plot-c2:#2fc79b;--plot-c3:#e08fc0;--plot-c4:#e6b422;--plot-c5:#8fd3f5}
svg.plot:root{color:#d8dee4;background:#0f1318}}
.plot-c0{color:var(--plot-c0)}.plot-c1{color:var(--plot-c1)}.plot-c2{color:var(--plot-c2)}
.plot-c3{color:var(--plot-c3)}.plot-c4{color:var(--plot-c4)}.plot-c5{color:var(--plot-c5)}
.plot text{fill:currentColor}
.plot-heading{font-size:16px;font-weight:600}
.plot-title{font-size:13px;font-weight:600}
.plot-tick,.plot-note{opacity:.8}
.plot-frame{fill:none;stroke:currentColor;stroke-opacity:.45}
.plot-grid{stroke:currentColor;stroke-opacity:.13}
.plot-grid.plot-zero{stroke-opacity:.4}
.plot-line{fill:none;stroke:currentColor;stroke-width:1.6;stroke-linejoin:round}
.plot-area{fill:currentColor;fill-opacity:.55;stroke:currentColor;stroke-width:1.2}
.plot-cells{fill:currentColor;fill-opacity:.85;shape-rendering:crispEdges}
.plot-points{fill:currentColor}
.plot-rule{stroke:currentColor;stroke-opacity:.75;stroke-dasharray:3 3}
.plot-dashed{stroke-dasharray:7 4}
.plot-dotted{stroke-dasharray:1.5 3}
`;
