// In place of static/life.js: a page that runs by itself tells nobody that it lives.
