import { PAGE, TABLES, THEMES } from '../review/page/style.js';

/** Lines and text of a drawing, also when it is a separate file. */
export const DRAWING_STYLE = `
.drawing text{font:12px system-ui,sans-serif;fill:var(--ink)}
.drawing .strong{font-weight:600}
.drawing .halo{paint-order:stroke;stroke:var(--ground);stroke-width:4px}
.drawing :is(.ink,.thin,.heavy,.dash,.dot){stroke:var(--ink);fill:none;stroke-width:1.4}
.drawing .thin{stroke-width:1}.drawing .heavy{stroke-width:2.4}
.drawing .dash{stroke-dasharray:7 4}.drawing .dot{stroke-dasharray:1.5 3.5}
.drawing .faint{stroke:var(--rule);fill:none;stroke-width:1}
#hatch .faint{stroke:var(--strong)}
.drawing .full{fill:var(--ink);stroke:none}
.drawing .ground{fill:var(--ground);stroke:var(--ink);stroke-width:1.2}
.drawing .hatched{fill:url(#hatch);stroke:var(--strong)}`;

/** What a sheet has besides the elements of a review page: drawings, lists of values, checks. */
const SHEET = `
body>*{max-width:1100px}
header{padding-top:16px}
.facts{color:var(--faint)}
.results{font-size:16px;font-weight:600;margin:6px 0}
.cautions{border:2px solid var(--ink);padding:8px 12px;margin-top:10px}
.cautions h2{margin-bottom:2px}
.cautions ul{padding-left:18px}
.cautions li{margin:2px 0}
.check{border:1px solid var(--strong);border-left-width:6px;padding:5px 10px;margin-top:8px;break-inside:avoid}
.check.fail{border-left-color:var(--bad)}
.check.marginal{border-left-style:double}
.check h3{margin:0}
.check dl{display:grid;grid-template-columns:5em 1fr;margin:2px 0 0}
.check dt{color:var(--faint)}
.check dd{margin:0}
.badge{display:inline-block;min-width:6em;font-weight:700}
.fail .badge{color:var(--bad)}
.lists{columns:2;column-gap:36px}
.list td:last-child{width:7.5em;padding-left:4px;white-space:nowrap}
.list .n{padding-right:0}
.list tr{break-inside:avoid}
table+table,.wide+.wide{margin-top:8px}
.grid th[scope=row]{white-space:nowrap}
.tight td,.tight th{padding-right:6px;font-size:12px}
.tight thead th{white-space:normal;min-width:4em}
.note{color:var(--faint);margin-bottom:3px}
figure{margin-top:8px;break-inside:avoid}
.drawing{display:block;width:100%;height:auto}
.zoom{display:none}
@media screen and (max-width:700px){.lists{columns:1}body>*{padding:0 12px}
.zoom{display:inline-block;padding:6px 0}.zoom:has(:checked)+.wide .drawing{width:860px;max-width:none}
.grid:not(.cards) th:first-child{position:sticky;left:0;background:var(--ground);white-space:normal;min-width:8.5em;hyphens:auto}.tight th:first-child{min-width:3.5em!important}
.cards,.cards tbody{display:block}.cards thead{position:absolute;clip-path:inset(50%);width:1px;height:1px;overflow:hidden}.cards caption{display:block}
.cards tr{display:block;border:1px solid var(--rule);padding:5px 10px;margin-top:6px}.cards :is(td,th){display:inline;border:0;padding:0 5px 0 0;white-space:normal}
.cards th{font-weight:600}.cards th::after{content:"\\A";white-space:pre}.cards .text{display:block;color:var(--faint)}.cards [data-title]::before{content:attr(data-title) " ";color:var(--faint)}}
@media print{@page{margin:12mm}body{font-size:9.5px;background:#fff}body>*{max-width:none;padding:0}h1{font-size:16px}h2{font-size:12.5px}h3{font-size:10.5px;margin-top:6px}.results{font-size:12px}
caption,thead th,.note,.facts,.tight td,.tight th{font-size:8px}th,td{padding:1px 6px 1px 0}section{padding-top:10px}.wide{overflow:visible}tr,.check,.cautions,figure{break-inside:avoid}
h2,h3,caption{break-after:avoid}thead{display:table-header-group}.tight td,.tight th{padding-right:3px}.tight thead th{min-width:0}.grid thead th{white-space:normal}*{print-color-adjust:exact;-webkit-print-color-adjust:exact}}`;

/** Style of a sizing sheet: light, dark and print. */
export const SHEET_STYLE = [THEMES, PAGE, TABLES, DRAWING_STYLE, SHEET].join('\n');
