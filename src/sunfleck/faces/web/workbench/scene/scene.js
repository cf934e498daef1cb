// The thin part between the page and the picture: messages in, events out. The picture itself knows no framework.
import { View } from "sunfleck-scene";

const MESSAGE = "sunfleck_scene";

export default {
  template: `<div class="sf-scene"></div>`,
  props: { lengths: Object, words: Object },
  emits: ["ready", "picked", "dragging", "dropped", "aimed", "section", "probed", "mark", "command"],
  mounted() {
    // Kept at the element, not in data(): a framework that watches every vertex is slow.
    const view = new View(this.$el, {
      lengths: this.lengths,
      words: this.words,
      emit: (name, what) => this.$emit(name, what),
    });
    this.$el.sceneView = view;
    this.$el.sceneLinks = [];
    const link = () => {
      if (!this.$el?.sceneView) return;
      // A child is mounted before the page has its socket.
      if (!window.socket) return void setTimeout(link, 20);
      const received = (message) => {
        if (`c${message.el}` === this.$el?.id) view.receive(message);
      };
      const again = () => this.$emit("ready", {});
      window.socket.on(MESSAGE, received);
      window.socket.on("connect", again);
      this.$el.sceneLinks.push([MESSAGE, received], ["connect", again]);
      // When the socket is there already its `connect` is past.
      if (window.socket.connected) again();
    };
    link();
  },
  beforeUnmount() {
    for (const [name, handler] of this.$el.sceneLinks) window.socket?.off(name, handler);
    this.$el.sceneView?.dispose();
    delete this.$el.sceneView;
  },
};
