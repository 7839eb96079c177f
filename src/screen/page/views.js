// Views besides a job's own: listed on the start page, reached by their name after "#" while no job is under way, loaded
// when first wanted. To add one: write views/<name>.js with a class View (constructor(box, act), show(), leave(), and
// told(problem) where an act may be refused) and name it here. What it asks the server for is answered by Server::answer in C++.
export const views = [
  { name: "calibrate", title: "Calibrate", load: () => import("./views/calibrate.js") },
  { name: "tablet", title: "Tablet and phone", load: () => import("./views/tablet.js") },
];

export const wanted_view = () => views.find((view) => `#${view.name}` === location.hash);
