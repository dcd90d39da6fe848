"""Text that tries to script, load or cover a page, for tests that plant it."""

# In two parts, so that no address stands in a file of the project.
AWAY = "https:" + "//a.example"

# What has run script in pages made from notebooks, or could load or cover something.
ATTACKS = [
    "<script>alert(1)</script>",
    "<img src=x onerror=alert(1)>",
    "<svg onload=alert(1)><circle r=9 /></svg>",
    "<svg><script>alert(1)</script></svg>",
    "<a href='javascript:alert(1)'>x</a>",
    "<a href='  java\nscript:alert(1)'>x</a>",
    "<a href='data:text/html,<script>alert(1)</script>'>x</a>",
    "<iframe srcdoc='<script>alert(1)</script>'></iframe>",
    "<object data='x.svg'></object><embed src='x.svg'>",
    "<math><mtext><table><mglyph><style><img src=x onerror=alert(1)>",
    "<math><maction actiontype='statusline' href='javascript:alert(1)'>x</maction></math>",
    "<math><mrow href='javascript:alert(1)'>x</mrow></math>",
    f"<form action='{AWAY}'><input name=q autofocus onfocus=alert(1)></form>",
    f"<base href='{AWAY}'><meta http-equiv=refresh content='0;url={AWAY}'>",
    f"<link rel=stylesheet href='{AWAY}/a.css'>",
    f"<style>@import '{AWAY}/a.css'; main {{display: none}}</style>",
    f"<div style='position:fixed;inset:0;background:url({AWAY}/a.png)'>x</div>",
    f"<img src='{AWAY}/a.png' alt=x><video src='{AWAY}/a.mp4'></video>",
    "<p id=check-1 class='block caution' name=x>x</p>",
    "<noscript><p title='</noscript><img src=x onerror=alert(1)>'>x</p></noscript>",
    "<!-- --!><img src=x onerror=alert(1)> -->",
    f"<math><mtable><mtr><mtd style='position:fixed;background:url({AWAY}/a.png)'>x</mtd></math>",
    f"<td style='text-align:right;background:url({AWAY}/a.png)'>x",
]
MARKDOWN_ATTACKS = [
    *ATTACKS,
    "[x](javascript:alert(1))",
    "![x](javascript:alert(1))",
    f"![x]({AWAY}/a.png)",
    '![x" onerror="alert(1)](dot.png "y\' onload=\'alert(1)")',
    "$\\text{<script>alert(1)</script>}$",
    "$\\href{javascript:alert(1)}{x}$",
    '$$x" onclick="alert(1)$$',
    "```html\n<script>alert(1)</script>\n```",
    "# x <img src=x onerror=alert(1)>",
    f"<{AWAY}/'onclick='alert(1)>",
    "[a]: javascript:alert(1)\n[a][a]",
]
