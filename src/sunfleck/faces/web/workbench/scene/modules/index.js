// All that the page needs of the picture.
export { View } from "./view.js";
