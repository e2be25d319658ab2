"""The styles of the record as a file: black on white, one column on a phone, two on paper."""

from __future__ import annotations

from typing import Final

PAGES: Final = "PAGE-OF-PAGES"  # stands for the words that number a page
STYLE: Final = """
:root{color-scheme:light}
*{box-sizing:border-box}
body{margin:0 auto;padding:16px;max-width:736px;background:#fff;color:#000;
font:450 18px/1.35 "Atkinson Hyperlegible Next",system-ui,sans-serif;
overflow-wrap:break-word;-webkit-text-size-adjust:100%}
h1,h2,p,ul,ol,figure{margin:0}
h1{font-size:26px;line-height:30px;font-weight:800}
h2{font-size:20px;line-height:24px;font-weight:800}
svg{display:block;width:100%;overflow:visible}
.note{margin-top:8px;border:2px dashed;padding:4px 8px;font-weight:700}
.edge{display:flex;margin:12px 0 20px;padding:0;border-top:3px solid;list-style:none}
.edge li{position:relative;flex:1 1 0;margin:0;height:36px;font-size:16px;line-height:1.2;
font-weight:700;white-space:nowrap}
.edge li::before{content:"";position:absolute;left:0;top:0;height:10px;border-left:1.5px solid}
.edge .behind::before{border-left-width:4.5px;height:12px}
.edge .now::before{left:-7px;top:2px;height:0;border:7px solid transparent;border-top:0;
border-bottom:13px solid}
.edge span{display:none}
.edge .now span,.edge .behind:last-child span{display:block;position:absolute;top:16px;left:0}
.edge .late span{left:auto!important;right:0}
.plate{position:relative;padding:12px 16px;border:5px solid;
-webkit-print-color-adjust:exact;print-color-adjust:exact}
.plate h2{font-size:24px;line-height:1.15;text-wrap:balance}
.plate p{font-weight:600}
.plate.tight{border-width:4px;outline:4px solid;outline-offset:-13px;padding:20px 24px}
.plate.no_leak_found{border-right:0}
.plate.seeping,.plate.seeping_or_leaking{border-left-width:32px}
.plate.seeping_or_leaking{border-bottom-width:12px}
.plate.leaking,.plate.leaking_or_gross,.plate.gross,.plate.leak_size_unknown{border-color:#000;
background:#000;color:#fff}
.plate.gross{outline:3px solid #fff;outline-offset:-10px;padding:20px 24px}
.plate.too_weak{border-style:dashed}
.plate.not_judged{border:2px dashed;padding-left:76px}
.scratch{position:absolute;left:8px;top:8px;width:60px;height:calc(100% - 16px)}
.under{font-weight:600}
.class-rule{max-width:390px}
.pair>*,.columns>*,.holds,.pictures,.readings{margin-top:24px;border-top:2.5px solid;
padding-top:6px}
.pair>figure,.pair>.sign{border-top:0}
table{width:100%;border-collapse:collapse;table-layout:fixed}
th,td{padding:5px 8px 5px 0;border-bottom:1px solid;text-align:left;vertical-align:top;
font-feature-settings:"tnum"}
th{width:47%;font-weight:800}
td:last-child{padding-right:0}
.compared th{width:30%}
ul{padding-left:20px}
li+li{margin-top:4px}
.readings ul{padding-left:0;list-style:none}
.sign{margin-top:64px!important;border-top:2.5px solid!important;padding-top:4px}
.holds figure{position:relative}
.holds figcaption{position:absolute;left:16%;right:4%;bottom:17.5%;font-weight:700;font-size:16px;
line-height:1.15}
text{fill:#000;font:600 16px "Atkinson Hyperlegible Next",system-ui,sans-serif}
text.b{font-weight:800}
path:not([fill]){fill:none}path{stroke:#000}
rect{stroke:#000;stroke-width:1.5}
.axis{stroke-width:3}.tick,.limit{stroke-width:2.5}.limit{stroke-width:4}
.minor{stroke-width:1.2}.edge path,path.edge{stroke-width:1.5}.hatch{stroke-width:1}
.band{stroke:none}path.fit{stroke-width:2.4}.happened{stroke-width:1.5}.span{stroke-width:7}
.read{stroke:#fff;stroke-width:1}.suspect,.open,path.open{fill:#fff;stroke-width:2}
path.solid{fill:#000}.unknown{fill:#fff;stroke-dasharray:4 3}
.photos{display:grid;gap:16px;margin-top:8px}
.pair .photos{grid-template-columns:1fr!important}
img{display:block;width:100%;aspect-ratio:4/3;object-fit:contain;border:2px solid}
footer{margin-top:24px;border-top:1px solid;padding-top:6px;font-size:16px}
footer span{display:block}
@media (max-width:479px){
th,td{font-size:17px}
.compared tr{display:grid;grid-template-columns:repeat(2,minmax(0,1fr))}
.compared td{overflow-wrap:anywhere}
.compared th[scope=row]{grid-column:1/-1;width:auto;border:0;padding-bottom:0}
.compared thead td{display:none}
.compared thead th{width:auto}
}
@media (min-width:600px),print{
.pair{display:grid;grid-template-columns:1fr 1fr;gap:0 24px}
.columns{columns:2;column-gap:24px}
.photos{grid-template-columns:1fr 1fr}
.under{display:grid;grid-template-columns:1fr 1fr;gap:0 24px}
.under div{padding-top:8px}
}
@media print{
@page{margin:11mm;@top-right{content:PAGE-OF-PAGES;
font:9pt system-ui,sans-serif}}
body{max-width:none;padding:0;font-size:10pt;line-height:1.2}
h1{font-size:20pt;line-height:1.1}h2{font-size:11pt;line-height:1.3}
.plate{padding:1.8mm 4mm}.plate h2{font-size:15pt;text-wrap:wrap}
.plate.not_judged{padding-left:20mm}
.edge{margin:2mm 0 2.5mm}
.edge li{height:8mm;font-size:8.5pt}
.pair>*,.columns>*,.holds,.pictures,.readings{margin-top:2.5mm;padding-top:.8mm;
border-top-width:2pt}
.pair{gap:0 6mm}.columns{column-gap:6mm}
th,td{padding:.45mm 2mm .45mm 0;border-bottom-width:.6pt}
:is(.car,.columns) :is(table,tbody,tr,th,td){display:inline;border:0;
padding:0}
:is(.car,.columns) td::after{content:". "}
:is(.car,.columns) th::after{content:": "}
text{font-size:8.5pt}.class-rule{max-width:76mm}.fluids{max-width:64mm}.day{max-width:60mm}
.holds figcaption{font-size:9pt}
ul{padding-left:4mm}li+li{margin-top:0}
.readings li{display:inline}.readings li::after{content:" "}.readings ul{padding:0}
section,tr,figure,footer,.sign{break-inside:avoid}
:is(.holds,.columns,.pictures,.coolant,.parts,.warm,.not_checked){break-inside:auto}h2{break-after:avoid}
.sign{margin-top:7mm!important}
.photos{gap:4mm;margin-top:1mm}.photos img{width:auto;max-width:100%;height:34mm;aspect-ratio:auto}
.note{border:0;padding:0;margin:0}
footer{margin-top:2mm;font-size:8.5pt}
footer span{display:inline}
}
""".strip()
